import { createHash } from "node:crypto";
import { expect, type Page } from "@playwright/test";
import type { PhoneDay, RecordingDocument } from "../src/ts/phone/contract";
import { expectAccessible } from "./axe";
import { test, type Who } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { answerButton } from "./phone";
import { shot } from "./shot";
import { lift } from "./taught";
import { unconditional } from "./unconditional";

const RECEIPT = "application/vnd.newel.receipt+json";

/** Opens the recorder of a program, by default one of five trials per session, and starts. */
async function start(page: Page, program = "Which cup?", before?: () => Promise<void>): Promise<void> {
  await page.goto("/today");
  // The program taught last moves down the list: it may be on the card or folded.
  const link = page.locator(".next", { hasText: program }).locator('a[href^="/teach/"]').or(page.locator('.fold a[href^="/teach/"]', { hasText: program }));
  const teach = (await link.first().getAttribute("href")) ?? "";
  await page.goto(teach.replace("/teach/", "/record/"));
  await before?.();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

/** Lifts the pause after a refusal, so that the next test finds the family as it was. */
async function lifted(be: (who: Who) => Promise<Page>): Promise<void> {
  await lift(await be("supervisor"), "Rami", "Shorter, and he chooses who teaches.");
}

const soFar = (page: Page) => page.locator("[data-so-far]");
const tap = async (page: Page, answer: string): Promise<void> => (await answerButton(page, answer)).click();

/** What this phone has stored. */
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
  await page.locator("[data-came-back]").click();
  await expect(page.locator('[data-part="enough"]')).toBeVisible();
  await expectAccessible(page);
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText("Saved at your clinic.");
  await expect(page.locator('[data-part="done"] .mk')).toHaveCount(5);
  await expectAccessible(page);
  await shot(page, info, "recorder-done");
  const kept = (await keptHere(page)).pop();
  expect(kept?.receipt?.sha256).toBe(createHash("sha256").update(kept?.body ?? "").digest("hex"));
  const doc = JSON.parse(kept?.body ?? "{}") as { trials: { n: number; rev: number; void?: boolean }[] };
  expect(doc.trials.map((t) => [t.n, t.rev, t.void ?? false])).toEqual([[1, 1, false], [2, 1, false], [3, 2, true], [4, 1, false], [5, 1, false], [6, 1, false]]);
});

/** Every step has a position, tokens and a choice of two, and its words in two languages. */
async function askMore(page: Page): Promise<void> {
  await page.route("**/phone/day", async (route) => {
    const response = await unconditional(route);
    const day = (await response.json()) as PhoneDay;
    for (const { kit } of day.kits) {
      const say_in = [{ lang: "en", name: "English", text: kit.say }, { lang: "ms", name: "Melayu", text: "Ayuh" }];
      Object.assign(kit, { fits: { place: "two rooms" }, tokens: 2, choices: 2, order: { rule: "massed", block: 0, known: [], known_share: 0, max_same: 0 }, targets: kit.targets.slice(0, 1), say_in });
    }
    await route.fulfill({ response, body: JSON.stringify(day) }); // (json would set a different media type)
  });
}

test("without signal nothing is lost, including what the step requires, and it is sent when a page opens with signal", async ({ be }, info) => {
  const page = await be("caregiver");
  await askMore(page);
  await start(page, "Which cup?", async () => {
    await page.locator(".chip", { hasText: "two rooms" }).click(); // it was ticked
    await page.locator(".chip", { hasText: "out and about" }).click();
    await page.locator(".unusual summary").click();
    await page.locator(".chip", { hasText: "Melayu" }).click();
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
    await shot(page, info, "recorder-counts");
  });
  await expect(page.locator(".rec [data-cue]")).toHaveText("“Ayuh”");
  await page.route("**/recordings/*", (route) => route.abort());
  const places: (string | null)[] = [];
  for (const answer of ["alone", "alone", "not_yet", "alone", "alone"]) {
    places.push(await page.locator("[data-card] .places").getAttribute("aria-label"));
    await tap(page, answer);
    await expect(page.locator("#said")).toContainText(`Saved. ${places.length} of`); // only then does the next one appear
    if (places.length === 2) {
      await expect(page.locator("[data-tokens]")).toHaveText("Exchange the tokens now");
      await expectNoSidewaysScroll(page);
      await shot(page, info, "recorder-tokens");
    }
  }
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText("Saved on this phone.");
  await expect(page.locator("[data-unfit]")).toContainText("differed from the step (two rooms)");
  const made = JSON.parse((await keptHere(page)).pop()?.body ?? "{}") as RecordingDocument;
  expect(made.header.unfit?.value).toEqual(["place"]);
  expect(made.header.place?.value).toBe("out"); // the code, never the label
  // The right one was where it should be, and the other one was chosen for a wrong answer.
  const lay = places.map((p) => Number(/number (\d)/.exec(p ?? "")?.[1]));
  expect(made.trials.map((t) => t.answer?.position)).toEqual(lay.map((n, i) => (i === 2 ? 3 - n : n)));
  await page.goto("/today");
  await expect(page.locator("#outbox")).toHaveText("1 session on this phone is waiting to be sent.");
  await page.unrouteAll({ behavior: "ignoreErrors" });
  await page.goto("/today");
  await expect.poll(async () => (await keptHere(page)).every((k) => k.receipt !== undefined)).toBe(true);
});

test("a sign-in page that answers 200 does not count as stored", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.route("**/recordings/*", (route) => route.fulfill({ status: 200, contentType: "text/html", body: "<h1>Welcome to the café</h1>" }));
  for (let i = 0; i < 5; i++) await tap(page, "alone");
  await page.locator("[data-finish]").click();
  await page.waitForResponse("**/recordings/*");
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText("Saved on this phone.");
  // A receipt for something else does not count either. (The later route takes precedence; removing the
  // earlier one would leave a moment in which a retry reaches the server.)
  await page.route("**/recordings/*", (route) => {
    const id = route.request().url().split("/").pop() ?? "";
    return route.fulfill({ status: 200, contentType: RECEIPT, body: JSON.stringify({ contract: 1, id, sha256: "0".repeat(64), safe_through: 5, closed: true, stored_at: "2026-03-09T10:31:28Z" }) });
  });
  const asked = page.waitForResponse("**/recordings/*");
  await page.goto("/today");
  await asked;
  expect((await keptHere(page)).filter((k) => k.receipt === undefined).length).toBe(1);
});

test("a session resumes at the same trial after its page closes", async ({ be }) => {
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
  await expect(page.getByText("Thank you for noticing. Comfort first.")).toBeVisible();
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  await expectAccessible(page);
  await shot(page, info, "recorder-stopped");
  await page.locator("[data-unstop]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
  await page.locator('[data-part="rail"] [data-stop]').click();
  await page.locator('[data-part="stopped"] [data-leave]').click();
  await page.waitForURL("**/today");
  await expect(page.locator(".resting")).toBeVisible();
  await lifted(be);
});

test("a day requested before a refusal was stored does not restart its program", async ({ be }) => {
  const page = await be("sami");
  const before = await page.request.get("/phone/day", { headers: { Accept: "application/vnd.newel.day+json" } });
  const day = (await before.json()) as PhoneDay;
  await start(page, "");
  const path = new URL(page.url()).pathname;
  await tap(page, "alone");
  let asked = (): void => undefined;
  const wasAsked = new Promise<void>((done) => (asked = done));
  let first = true;
  await page.route("**/phone/day", async (route) => {
    if (!first) return route.abort(); // nothing newer arrives
    first = false;
    asked();
    await page.waitForResponse((r) => r.request().method() === "PUT" && r.ok());
    // It does not include the refusal, and has a later timestamp than the receipt.
    await route.fulfill({ response: before, body: JSON.stringify({ ...day, as_of: new Date(Date.now() + 60_000).toISOString() }) });
  });
  await page.route("**/recordings/*", async (route) => {
    await wasAsked;
    await route.continue();
  });
  await page.locator('[data-part="rail"] [data-stop]').click();
  await page.locator('[data-part="stopped"] [data-leave]').click();
  await page.waitForURL("**/today");
  await expect(page.locator("#outbox")).toHaveText("Everything you recorded is saved at your clinic.");
  await expect(page.locator(".resting")).toBeVisible();
  await expect(page.locator(`a[href="${path}"]`)).toHaveCount(0);
  await page.unrouteAll({ behavior: "ignoreErrors" });
  await lifted(be);
});

test("without script the page says what is needed", async ({ browser, demo }) => {
  const context = await browser.newContext({ javaScriptEnabled: false, baseURL: demo.server.url, storageState: await demo.state("caregiver") });
  const page = await context.newPage();
  await page.goto("/today");
  await expect(page.locator("[data-needs-script]")).toBeVisible();
  await expect(page.locator('[data-part="rail"]')).toHaveCount(0);
  await context.close();
});
