import { expect, type Page } from "@playwright/test";
import { Demo, test as demoTest } from "./demo";
import { Handset } from "./handset";
import { account, everythingKept, sessions, stored } from "./kept";
import { Line } from "./line";
import { shot } from "./shot";

// Journeys of a phone whose network and browser go away. The line is cut by a TCP proxy, the browser by SIGKILL.

const test = demoTest.extend<{ line: Line; handset: Handset }>({
  line: async ({ demo }, use) => {
    const line = await Line.to(demo.server.url);
    await use(line);
    await line.close();
  },
  handset: async ({}, use) => {
    const handset = await Handset.made();
    await use(handset);
    await handset.end();
  },
});

/** Goes in by the demo's door, on the line. */
async function enter(page: Page, demo: Demo, line: Line, who: "caregiver" | "lubna"): Promise<void> {
  await page.goto(demo.door(who).replace(demo.server.url, line.url));
  await page.getByRole("button", { name: /^Go in as/ }).click();
  await expect(page.locator(".day").first()).toBeVisible();
}

/** Waits until the pages come without signal. */
async function workerReady(page: Page): Promise<void> {
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
}

async function begin(page: Page): Promise<void> {
  await page.locator(".next").getByRole("link", { name: "Start" }).first().click();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

/** Answers until it is enough; how often it tapped. */
async function toTheEnd(page: Page): Promise<number> {
  let taps = 0;
  while (await page.locator('[data-part="rail"]').isVisible()) {
    await page.locator('[data-part="rail"] [data-answer="alone"]').click();
    taps++;
    await expect(page.locator("#said")).toContainText(`Kept. ${taps} of`);
  }
  return taps;
}

async function finish(page: Page): Promise<void> {
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
}

test("three sessions without network, the browser killed in the second", async ({ demo, line, handset }, info) => {
  test.setTimeout(120_000);
  let page = await handset.page();
  await enter(page, demo, line, "caregiver");
  await workerReady(page);
  line.down();

  await begin(page);
  await toTheEnd(page);
  await finish(page);
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText("On this phone.");
  await page.getByRole("link", { name: "Done for now" }).click();
  await expect(page.locator("#outbox")).toContainText("waits on this phone");

  await begin(page);
  const address = page.url();
  await page.locator('[data-part="rail"] [data-answer="not_yet"]').click();
  await expect(page.locator("#said")).toContainText("Kept. 1 of");
  await handset.kill();
  await handset.on();
  page = await handset.page();
  await page.goto(address);
  await expect(page.locator("[data-resume-text]")).toContainText("1 written down");
  await page.locator("[data-resume]").click();
  await expect(page.locator("[data-so-far]")).toContainText("2 of");
  while (await page.locator('[data-part="rail"]').isVisible()) {
    const before = await page.locator("#said").textContent();
    await page.locator('[data-part="rail"] [data-answer="alone"]').click();
    await expect(page.locator("#said")).not.toHaveText(before ?? "");
  }
  await finish(page);
  await page.getByRole("link", { name: "Done for now" }).click();

  await begin(page);
  await toTheEnd(page);
  await finish(page);
  await page.goto(line.url + "/today");
  await expect(page.locator("#outbox")).toHaveText("3 sessions wait on this phone to be sent.");
  await page.screenshot({ path: `${info.outputDir}/offline.png` });

  // A browser writes its cookies down only now and then: the one that was killed may have forgotten who this is. Then
  // the sessions wait for the same person.
  line.up();
  await enter(page, demo, line, "caregiver");
  await expect.poll(async () => (await sessions(page)).filter((k) => k.receipt).length).toBe(3);
  await expect(page.locator("#outbox")).not.toContainText("wait");
  expect(new Set((await sessions(page)).map((k) => k.id)).size).toBe(3);
});

test("an answer lost on its way is asked for again, and counts once", async ({ demo, line, handset }) => {
  const page = await handset.page();
  await enter(page, demo, line, "caregiver");
  await begin(page);
  await toTheEnd(page);
  line.swallow = true;
  await finish(page);
  await expect.poll(() => sessions(page).then((all) => all.length)).toBeGreaterThan(0);
  expect((await sessions(page)).every((k) => k.receipt === undefined)).toBe(true);
  line.swallow = false;
  await page.goto(line.url + "/today");
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt !== undefined)).toBe(true);
});

test("signing out without network seals what waits; nothing readable is left; nobody else can go in", async ({ demo, line, handset }) => {
  const page = await handset.page();
  await enter(page, demo, line, "caregiver");
  await workerReady(page);
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  const id = await account(page);
  expect(child.length).toBeGreaterThan(1);
  expect(await everythingKept(page)).toContain(child); // the scan sees what is there
  line.down();
  await begin(page);
  await toTheEnd(page);
  await finish(page);
  await page.getByRole("link", { name: "Done for now" }).click();
  await page.getByRole("link", { name: "This phone" }).click();
  await page.getByRole("link", { name: "Sign out of this phone" }).click();
  await expect(page.getByText("1 session is not stored with your clinic yet.")).toBeVisible();
  await page.getByRole("button", { name: "Sign out" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => stored(page, "newel-sealed", "sealed").then((all) => all.length)).toBe(1);
  await expect(page.getByText("1 session of another person waits")).toBeVisible();
  const kept = await everythingKept(page);
  for (const secret of [child, "Which cup", "Washing hands", '\\"trials\\":[']) expect(kept.includes(secret), secret).toBe(false);
  expect(kept).not.toContain("newel-" + id + "\n");
  // Cached pages refuse, also after a new start.
  await page.reload();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  // At the next contact the server hears of it before anything else is shown.
  line.up();
  const told = page.waitForResponse("**/phone/lock");
  await page.reload();
  expect((await told).status()).toBe(200);
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  expect(await page.evaluate(() => fetch("/phone/day").then((r) => r.status))).toBe(401);
});

test("two people on one phone: the second sees a count, the first one's session goes when she is back", async ({ demo, line, handset }) => {
  const page = await handset.page();
  await enter(page, demo, line, "caregiver");
  const first = await account(page);
  await workerReady(page);
  line.down();
  await begin(page);
  await toTheEnd(page);
  await finish(page);
  // Somebody else comes in by her own door before anything was sent: refused before the line is back, so that no retry
  // slips through in between.
  await page.route("**/recordings/*", (route) => route.abort());
  line.up();
  await enter(page, demo, line, "lubna");
  await expect.poll(() => account(page)).not.toBe(first);
  await expect(page.locator("#outbox")).toContainText("of another person waits on this phone");
  expect((await stored(page, "newel-" + first, "recordings")).length).toBe(0);
  await page.unroute("**/recordings/*");
  await enter(page, demo, line, "caregiver");
  await expect.poll(async () => (await stored<{ storedAt?: number }>(page, "newel-sealed", "sealed")).every((s) => s.storedAt !== undefined)).toBe(true);
});

test("twenty trials take at most twenty-four taps", async ({ demo, line, handset }) => {
  const page = await handset.page();
  await enter(page, demo, line, "caregiver");
  let taps = 0;
  const tap = async (selector: string): Promise<void> => {
    await page.locator(selector).first().click();
    taps++;
  };
  await tap('.next a[href^="/record/"]');
  await tap("[data-before] button[type=submit]");
  await tap('[data-part="rail"] [data-several]');
  for (let n = 0; n < 20; n++) await tap(".severalrow [data-plus]");
  await tap("[data-several-add]");
  await expect(page.locator("[data-enough-text]")).toContainText("20 tries");
  expect(taps).toBeLessThanOrEqual(24);
});

test("at rest at once, offline too, and again after talking about it", async ({ demo, line, handset }, info) => {
  const page = await handset.page();
  await enter(page, demo, line, "lubna");
  await workerReady(page);
  line.down();
  await begin(page);
  await page.locator('[data-part="rail"] [data-answer="declined"]').click();
  await page.locator('[data-part="rail"] [data-stop]').click();
  await expect(page.getByRole("heading", { name: "Stopped." })).toBeVisible();
  await page.getByRole("link", { name: "Back to today" }).click();
  await expect(page.locator(".resting")).toBeVisible();
  await page.locator(".resting").getByRole("button", { name: "We talked about it" }).click();
  await expect(page.locator(".resting")).toHaveCount(0);
  line.up();
  const noted = page.waitForResponse("**/phone/talks/*");
  await page.reload();
  expect((await noted).status()).toBe(200);
  await expect(page.locator(".resting")).toHaveCount(0);
  await shot(page, info, "offline-today");
});
