import { createHash } from "node:crypto";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { expect, type Page } from "@playwright/test";
import { answered, begin, closedWhere, newID, standing, undone, withField } from "../src/ts/document";
import { measured } from "../src/ts/measured";
import { sha256 } from "../src/ts/sha256";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { root } from "./paths";
import { shot } from "./shot";

const RECEIPT = "application/vnd.newel.receipt+json";

/** Opens the recorder of a program, by default one of five tries a session, and starts. */
async function start(page: Page, program = "Which cup?"): Promise<void> {
  await page.goto("/today");
  // What was taught last moves down the list: it may be on the card or folded.
  const link = page.locator(".next", { hasText: program }).locator('a[href^="/teach/"]').or(page.locator(".fold a", { hasText: program }));
  const teach = (await link.first().getAttribute("href")) ?? "";
  await page.goto(teach.replace("/teach/", "/record/"));
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

const soFar = (page: Page) => page.locator("[data-so-far]");
const tap = (page: Page, answer: string) => page.locator(`[data-part="rail"] [data-answer="${answer}"]`).last().click();

/** What this phone keeps. */
async function keptHere(page: Page): Promise<{ body: string; receipt?: { sha256: string } }[]> {
  await page.locator('#outbox:not([data-account=""])[data-account]').waitFor({ state: "attached" }); // it knows whose phone it is
  return page.evaluate(async () => {
    const account = document.getElementById("outbox")?.dataset.account ?? "";
    const db = await new Promise<IDBDatabase>((done, failed) => {
      const opening = indexedDB.open(`newel-${account}`);
      opening.onsuccess = () => done(opening.result);
      opening.onerror = () => failed(opening.error ?? new Error("open"));
    });
    const all = await new Promise<unknown[]>((done, failed) => {
      const asking = db.transaction("recordings").objectStore("recordings").getAll();
      asking.onsuccess = () => done(asking.result as unknown[]);
      asking.onerror = () => failed(asking.error ?? new Error("read"));
    });
    db.close();
    return all as { body: string; receipt?: { sha256: string } }[];
  });
}

test("a session from the first tap to the receipt", async ({ be }, info) => {
  const page = await be("caregiver");
  await start(page);
  await expectAccessible(page);
  await expectNoSidewaysScroll(page);
  await expectTargets(page, 44);
  await shot(page, info, "recorder-rail");
  await tap(page, "alone");
  await expect(soFar(page)).toHaveText("2 of 5");
  await tap(page, "help");
  await tap(page, "not_yet");
  await expect(soFar(page)).toHaveText("4 of 5");
  await page.locator('[data-part="rail"] [data-undo]').click();
  await expect(soFar(page)).toHaveText("3 of 5");
  for (const answer of ["no_response", "alone", "declined"]) await tap(page, answer);
  await expect(page.locator('[data-part="enough"]')).toBeVisible();
  await expectAccessible(page);
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText("Stored with your clinic.");
  await expect(page.locator('[data-part="done"] .mk')).toHaveCount(5);
  await expectAccessible(page);
  await shot(page, info, "recorder-done");
  const kept = (await keptHere(page)).pop();
  expect(kept?.receipt?.sha256).toBe(createHash("sha256").update(kept?.body ?? "").digest("hex"));
  const doc = JSON.parse(kept?.body ?? "{}") as { trials: { n: number; rev: number; void?: boolean }[] };
  expect(doc.trials.map((t) => [t.n, t.rev, t.void ?? false])).toEqual([[1, 1, false], [2, 1, false], [3, 2, true], [4, 1, false], [5, 1, false], [6, 1, false]]);
});

test("without signal nothing is lost, and it is sent when a page opens with it", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.route("**/recordings/*", (route) => route.abort());
  for (const answer of ["alone", "alone", "not_yet", "alone", "alone"]) await tap(page, answer);
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText("On this phone.");
  await page.goto("/today");
  await expect(page.locator("#outbox")).toHaveText("1 session waits on this phone to be sent.");
  await page.unroute("**/recordings/*");
  await page.goto("/today");
  await expect.poll(async () => (await keptHere(page)).every((k) => k.receipt !== undefined)).toBe(true);
});

test("a sign-in page that answers 200 makes nothing stored", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.route("**/recordings/*", (route) => route.fulfill({ status: 200, contentType: "text/html", body: "<h1>Welcome to the café</h1>" }));
  for (let i = 0; i < 5; i++) await tap(page, "alone");
  await page.locator("[data-finish]").click();
  await page.waitForResponse("**/recordings/*");
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText("On this phone.");
  // A receipt for something else is none either. (The later route goes first; taking the earlier one away would leave a
  // moment in which a retry reaches the server.)
  await page.route("**/recordings/*", (route) => {
    const id = route.request().url().split("/").pop() ?? "";
    return route.fulfill({ status: 200, contentType: RECEIPT, body: JSON.stringify({ contract: 1, id, sha256: "0".repeat(64), safe_through: 5, closed: true, stored_at: "2026-03-09T10:31:28Z" }) });
  });
  const asked = page.waitForResponse("**/recordings/*");
  await page.goto("/today");
  await asked;
  expect((await keptHere(page)).filter((k) => k.receipt === undefined).length).toBe(1);
});

test("a page that dies in the middle goes on where it was", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  const address = page.url();
  await page.route("**/recordings/*", (route) => route.abort());
  await tap(page, "alone");
  await tap(page, "not_yet");
  await expect(soFar(page)).toHaveText("3 of 5");
  await page.goto("about:blank");
  await page.goto(address);
  await page.locator("[data-resume]").click();
  await expect(soFar(page)).toHaveText("3 of 5");
});

test("stop is one tap, and can be undone", async ({ be }, info) => {
  const page = await be("lubna");
  await start(page, ""); // whatever is next
  await tap(page, "alone");
  await page.locator('[data-part="rail"] [data-stop]').click();
  await expect(page.getByText("Good that you noticed. Comfort first.")).toBeVisible();
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  await expectAccessible(page);
  await shot(page, info, "recorder-stopped");
  await page.locator("[data-unstop]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
  await page.locator('[data-part="rail"] [data-stop]').click();
  await page.locator('[data-part="stopped"] [data-leave]').click();
  await page.waitForURL("**/today");
  await expect(page.locator(".resting")).toBeVisible();
  await page.getByRole("button", { name: "We talked about it" }).first().click();
  await page.waitForURL("**/today");
});

test("without script the page says what is needed", async ({ browser, demo }) => {
  const context = await browser.newContext({ javaScriptEnabled: false, baseURL: demo.server.url, storageState: await demo.state("caregiver") });
  const page = await context.newPage();
  await page.goto("/today");
  await expect(page.locator("[data-needs-script]")).toBeVisible();
  await expect(page.locator('[data-part="rail"]')).toHaveCount(0);
  await context.close();
});

test("hashes are SHA-256", () => {
  // FIPS 180-4's own examples by way of node's implementation, lengths around a block's end, and the contract's examples.
  const texts = ["", "abc", "né 🙂 ضعي", ...[55, 56, 63, 64, 65, 119, 120, 1000].map((n) => "a".repeat(n))];
  const folder = join(root, "internal", "recording", "testdata", "documents");
  for (const name of readdirSync(folder)) texts.push(readFileSync(join(folder, name), "utf8"));
  for (const text of texts) expect(sha256(text)).toBe(createHash("sha256").update(text, "utf8").digest("hex"));
});

test("the document keeps to the contract", () => {
  const id = newID(Date.parse("2026-03-09T10:30:12.345Z"));
  expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  const empty = begin({ placement: id, author: id, kit: { id, hash: "0" }, device: "d", by: id, how: "live", plannedHelp: "", place: "" }, new Date("2026-03-09T10:30:12.345Z"));
  const one = answered(empty, { outcome: "correct" }, 1200) ?? empty;
  const two = answered(one, { outcome: "incorrect" }, 2400) ?? one;
  const back = undone(two, 3000);
  expect(back.trials[1]).toEqual({ n: 2, rev: 2, at_ms: 3000, void: true });
  expect(standing(back).map((t) => t.n)).toEqual([1]);
  expect(one.trials.length).toBe(1); // nothing is changed in place
  const stopped = withField(withField(back, "ended_early", "distress"), "ended_early", "");
  expect(stopped.header.ended_early).toEqual({ rev: 2, value: "" });
  const done = closedWhere(stopped, 5000);
  expect(done.closing?.last).toBe(2);
  expect(closedWhere(done, 9000)).toBe(done); // closes once
  expect(JSON.stringify(closedWhere(stopped, 5000))).toBe(JSON.stringify(done));
});

test("what is entered at the end is read strictly", () => {
  const form = (fields: Record<string, string>) => (name: string) => fields[name] ?? "";
  expect(measured("count", form({ count: "12", minutes: "10" }))).toEqual({ count: 12, observed_ms: 600_000 });
  expect(measured("count", form({ count: "12", minutes: "0" }))).toBeUndefined();
  expect(measured("count", form({ count: "1.5", minutes: "3" }))).toBeUndefined();
  expect(measured("duration", form({ durations: "20, 35" }))).toEqual({ durations_ms: [20_000, 35_000] });
  expect(measured("duration", form({}))).toEqual({ durations_ms: [] });
  expect(measured("duration", form({ durations: "long" }))).toBeUndefined();
  expect(measured("intervals", form({ intervals: "y n N y" }))).toEqual({ intervals: [true, false, false, true] });
  expect(measured("intervals", form({ intervals: "yes" }))).toBeUndefined();
});
