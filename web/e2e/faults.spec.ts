import { expect, type Page } from "@playwright/test";
import { pause } from "../src/ts/outbox";
import { retryAfter } from "../src/ts/send";
import { news, today } from "../src/ts/day";
import { stairPaths } from "../src/ts/stair";
import type { DayOffer, PhoneDay } from "../src/ts/contract";
import type { Kept } from "../src/ts/keep";
import { test } from "./demo";
import { account, sessions, stored } from "./kept";

// What can go wrong on a phone, one by one. The numbers are those of the table in docs/phone-faults.md. What
// the server does about its part is tried in Go; killed browsers and cut lines in offline.spec.ts.

async function start(page: Page): Promise<void> {
  await page.goto("/today");
  await page.locator('.next a[href^="/record/"]').first().click();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

const tap = (page: Page, answer = "alone"): Promise<void> => page.locator(`[data-part="rail"] [data-answer="${answer}"]`).last().click();
const kept = (page: Page, n: number): Promise<void> => expect(page.locator("#said")).toContainText(`Kept. ${n} of`);

async function toTheEnd(page: Page): Promise<void> {
  for (let n = 1; await page.locator('[data-part="rail"]').isVisible(); n++) {
    await tap(page);
    await kept(page, n);
  }
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
}

test("F6, F7: no room. Nothing is confirmed, it is said, and goes on when there is room", async ({ be }) => {
  const page = await be("caregiver");
  await page.addInitScript(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...args: Parameters<typeof put>) {
      if (document.documentElement.hasAttribute("data-full") && this.name === "recordings") throw new DOMException("full", "QuotaExceededError");
      return put.apply(this, args);
    };
  });
  await start(page);
  await tap(page);
  await kept(page, 1);
  await page.evaluate(() => document.documentElement.setAttribute("data-full", ""));
  await tap(page);
  await expect(page.locator("#said")).toContainText("That was not saved");
  expect((await sessions(page)).find((k) => !k.doc.closing)?.doc.trials.length).toBe(1);
  await page.evaluate(() => document.documentElement.removeAttribute("data-full"));
  await tap(page);
  await kept(page, 2);
});

test("F8: the system takes the database's connection away", async ({ be }) => {
  const page = await be("caregiver");
  await page.addInitScript(() => {
    const transaction = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...args: Parameters<typeof transaction>) {
      if (document.documentElement.hasAttribute("data-gone")) {
        document.documentElement.removeAttribute("data-gone");
        throw new DOMException("Connection to Indexed Database server lost", "InvalidStateError");
      }
      return transaction.apply(this, args);
    };
  });
  await start(page);
  await page.evaluate(() => document.documentElement.setAttribute("data-gone", ""));
  await tap(page);
  await kept(page, 1);
  expect((await sessions(page)).find((k) => !k.doc.closing)?.doc.trials.length).toBe(1);
});

test("F9, F13: a browser that keeps nothing says so, and works with signal", async ({ be }) => {
  const page = await be("caregiver");
  await page.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException("refused", "SecurityError");
    };
  });
  await page.goto("/today");
  await expect(page.getByText("This browser cannot keep sessions")).toBeVisible();
  await page.locator('.next a[href^="/record/"]').first().click();
  await expect(page.locator("[data-cannot-keep]")).toBeVisible();
  await page.locator("[data-before] button[type=submit]").click();
  await toTheEnd(page);
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText("Stored with your clinic.");
});

test("F14, F15: a second tab does not record beside the first", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await tap(page);
  await kept(page, 1);
  const other = await page.context().newPage();
  await other.goto(page.url());
  await other.locator("[data-resume]").click();
  await expect(other.locator("[data-elsewhere]")).toBeVisible();
  await other.locator("[data-before] button[type=submit]").click();
  await expect(other.locator('[data-part="rail"]')).toBeHidden();
  await page.close();
  await other.locator("[data-resume]").click(); // whoever closes the first may go on in the second
  await expect(other.locator("[data-so-far]")).toContainText("2 of");
});

test("F16: two tabs send each session once", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.context().route("**/recordings/*", (route) => route.abort());
  await toTheEnd(page);
  const id = (await sessions(page)).find((k) => !k.receipt)?.id ?? "";
  await page.context().unroute("**/recordings/*");
  let sent = 0;
  page.context().on("request", (r) => (sent += r.url().endsWith(id) ? 1 : 0));
  const other = await page.context().newPage();
  await Promise.all([page.goto("/today"), other.goto("/today")]);
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  expect(sent).toBe(1);
});

test("F19, F20: 401 keeps everything and waits for the person", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  let asked = 0;
  await page.route("**/recordings/*", (route) => {
    asked++;
    return route.fulfill({ status: 401, contentType: "application/json", body: '{"error":"sign_in"}' });
  });
  await toTheEnd(page);
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("open the link of your invitation again");
  const before = asked;
  await page.locator("main").evaluate(() => new Promise((done) => setTimeout(done, 2500)));
  expect(asked).toBe(before); // no loop
  await page.unroute("**/recordings/*");
  await page.goto("/today");
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("F26: a network's sign-in page is named as one", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.route(/\/(recordings|phone)\//, (route) => route.fulfill({ status: 200, contentType: "text/html", body: "<h1>Welcome to the café</h1>" }));
  await toTheEnd(page);
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("This network wants you to sign in to it first");
  await expect(page.locator(".day").first()).toBeVisible();
});

test("F33: one that is refused for good keeps none of the others back", async ({ be }) => {
  const page = await be("caregiver");
  await start(page);
  await page.route("**/recordings/*", (route) => route.fulfill({ status: 422, contentType: "application/json", body: '{"error":"invalid"}' }));
  await toTheEnd(page);
  await expect.poll(async () => (await sessions(page)).filter((k) => k.trouble === "422").length).toBe(1);
  await page.unroute("**/recordings/*");
  await page.getByRole("link", { name: "Done for now" }).click();
  await expect(page.locator("#outbox")).toContainText("could not be taken and is kept here");
  await start(page);
  await toTheEnd(page);
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText("Stored with your clinic.");
  await page.goto("/today#phone");
  await page.getByRole("button", { name: "Discard" }).click();
  expect((await sessions(page)).filter((k) => k.trouble).length).toBe(1); // only the second step does it
  await page.getByRole("button", { name: "Try again" }).click();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt && !k.trouble)).toBe(true);
});

test("F34: a record that cannot be read is set apart; the others go", async ({ be }) => {
  const page = await be("caregiver");
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  const name = "newel-" + (await account(page));
  await page.evaluate(
    (n) =>
      new Promise<void>((done) => {
        const opening = indexedDB.open(n);
        opening.onsuccess = () => {
          const tx = opening.result.transaction("recordings", "readwrite");
          tx.objectStore("recordings").put({ id: "00000000-0000-7000-8000-000000000000", placement: "x", body: "{", changed: 0 });
          tx.oncomplete = () => {
            opening.result.close();
            done();
          };
        };
      }),
    name,
  );
  await start(page);
  await toTheEnd(page);
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText("Stored with your clinic.");
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("could not be taken and is kept here");
  expect((await stored<{ id: string }>(page, name, "recordings")).some((k) => k.id.startsWith("00000000"))).toBe(true);
});

test("F30, F32: attempts come in growing, random intervals, and never before the server wants them", () => {
  for (const random of [0, 0.5, 0.999]) {
    for (let n = 0; n < 40; n++) expect(pause(n, 0, random)).toBeLessThanOrEqual(Math.min(300_000, 1000 * 2 ** n));
    expect(pause(3, 60_000, random)).toBeGreaterThanOrEqual(60_000);
  }
  expect(pause(30, 0, 1)).toBe(300_000);
  const answer = (value: string): Response => new Response(null, { status: 503, headers: { "Retry-After": value } });
  expect(retryAfter(answer("10"))).toEqual({ after: 10_000 });
  expect(retryAfter(answer("Wed, 21 Oct 2015 07:28:00 GMT"))).toEqual({});
});

const offer = (assignment: string, placement: string): DayOffer => ({ assignment, placement, title: "t", role: "", trials: 5, minutes: 4, steps: [], here: 0, note: "", note_by: "" });
const dayOf = (next: DayOffer, resting: DayOffer[] = []): PhoneDay => ({
  contract: 1, as_of: "2026-03-12T09:30:00Z", today: "2026-03-12", account: "a", name: "n", device: "", kits: [], lost: [], pin_set: false,
  seal_key: { kid: "", kty: "EC", crv: "P-256", x: "", y: "" },
  learners: [{ id: "l", nickname: "K", stop_signs: "", alerts: { asked: true, allergy: "", choking: "", seizure: "", mouthing: "" }, next, others: [], resting }],
});

test("rest, talk and news are worked out from what the phone knows", () => {
  const notes = { talks: [], changed: [], notToday: { day: "", assignments: [] }, told: [] };
  const day = dayOf(offer("A", "P"), [offer("B", "Q")]);
  const no = { id: "r", placement: "P", body: "", changed: 1000, doc: { header: { ended_early: { rev: 1, value: "distress" } } } } as unknown as Kept;
  const rests = (kept: Kept[], more = {}): string[] => today(day, kept, { ...notes, ...more }, "")[0]!.resting.map((o) => o.placement);
  expect(rests([])).toEqual(["Q"]);
  expect(rests([no])).toEqual(["P", "Q"]);
  const talk = (assignment: string, made: number) => ({ id: "t", assignment, made, at: "" });
  expect(rests([no], { talks: [talk("A", 2000)] })).toEqual(["Q"]);
  expect(rests([no], { talks: [talk("A", 500)] })).toEqual(["P", "Q"]); // a no after the talk
  expect(rests([], { talks: [talk("B", 1)] })).toEqual([]);
  const seen = { ...no, receipt: { contract: 1, id: "r", sha256: "", safe_through: 1, closed: true, stored_at: "2026-03-12T09:00:00Z" } } as Kept;
  expect(rests([seen])).toEqual(["Q"]); // the day knows better
  expect(news(undefined, day)).toEqual([]);
  expect(news(dayOf(offer("A", "O")), day)).toEqual(["P"]);
  expect(news(day, day)).toEqual([]);
});

test("the small stairway has the server's measures", () => {
  // Three steps, the first climbed, the second current with help: by the sheet, ground 1 at 23, rise 3, going 9.
  const s = stairPaths([{ label: "1", help: false }, { label: "2", help: true }, { label: "3", help: false }], 1);
  expect(s.width).toBe(31);
  expect(s.paths[1]).toEqual(["d-ink", "M1 19h9.3v4h-9.3z"]);
  expect(s.paths[4]).toEqual(["d-ink", "M10 15h9v2.5h-9z"]);
});
