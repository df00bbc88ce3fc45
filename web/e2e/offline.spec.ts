import { expect, type Page } from "@playwright/test";
import { Handset } from "./handset";
import { sessions } from "./kept";
import { begin, enter, finish, invariants, session, tap, toTheEnd, where, workerReady } from "./phone";
import { openSession } from "./shadow";
import { shot } from "./shot";
import { lift, test as taughtTest } from "./taught";
import { unconditional } from "./unconditional";

// Journeys of a phone whose network and browser fail. A TCP proxy cuts the connection, SIGKILL the browser.

const test = taughtTest.extend<{ handset: Handset }>({
  handset: async ({ line, shadow, demo, eyes }, use) => {
    const handset = await Handset.made();
    await use(handset);
    await invariants([(await handset.page()).context()], line, shadow, demo, eyes);
    await handset.end();
  },
});

test("three sessions without network, the browser killed in the second", async ({ demo, line, handset, shadow }) => {
  test.setTimeout(120_000);
  let page = await handset.page();
  await enter(page, demo, line, "caregiver");
  await workerReady(page);
  line.down();

  await session(page, shadow);
  await expect(where(page)).toContainText("Saved on this phone.");
  await page.getByRole("link", { name: "Done for now" }).click();
  await expect(page.locator("#outbox")).toContainText("on this phone is waiting to be sent");

  await begin(page);
  const address = page.url();
  await tap(page, shadow, "not_yet");
  await handset.kill();
  await handset.on();
  page = await handset.page();
  await page.goto(address);
  await expect(page.locator("[data-resume-text]")).toContainText("1 try recorded");
  await page.locator("[data-resume]").click();
  await expect(page.locator("[data-so-far]")).toContainText("2 of");
  await toTheEnd(page, shadow);
  await finish(page);
  await page.getByRole("link", { name: "Done for now" }).click();

  await session(page, shadow);
  await page.goto(line.url + "/today");
  await expect(page.locator("#outbox")).toHaveText("3 sessions on this phone are waiting to be sent.");

  // A browser writes its cookies to disk only from time to time: a killed one may have forgotten who this is.
  // Then the sessions wait for the same person.
  line.up();
  await enter(page, demo, line, "caregiver");
  await expect.poll(async () => (await sessions(page)).filter((k) => k.receipt).length).toBe(3);
  await expect(page.locator("#outbox")).not.toContainText("wait");
  expect(new Set((await sessions(page)).map((k) => k.id)).size).toBe(3);
  expect(shadow.confirmed.size).toBe(3);
});

test("F27: a lost response is requested again, and the session counts once", async ({ hand: page, line, shadow }) => {
  await begin(page);
  await toTheEnd(page, shadow);
  line.swallow = true;
  await finish(page);
  await expect.poll(() => line.asked.some((r) => r.startsWith("PUT /recordings/"))).toBe(true);
  expect((await sessions(page)).every((k) => k.receipt === undefined)).toBe(true);
  line.swallow = false;
  await page.goto("/today");
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt !== undefined)).toBe(true);
});

test("twenty trials take at most twenty-four taps", async ({ hand: page }) => {
  let taps = 0;
  const press = async (selector: string): Promise<void> => {
    await page.locator(selector).first().click();
    taps++;
  };
  await press('.next a[href^="/record/"]');
  await press("[data-before] button[type=submit]");
  await press('[data-part="rail"] [data-written]');
  await press('[data-part="written"] [data-several]');
  for (let n = 0; n < 4; n++) await press('.severalrow [data-plus="5"]');
  await press("[data-several-add]");
  await expect(page.locator("[data-enough-text]")).toContainText("20 tries");
  expect(taps).toBeLessThanOrEqual(24);
});

test("twenty trials recorded as they happen take at most twenty-four taps", async ({ another, demo, line, shadow }) => {
  const { page } = await another({ serviceWorkers: "block" }); // a made-up response, which a worker would hide
  await page.route("**/phone/day", async (route) => {
    const answer = await unconditional(route);
    if (!answer.ok()) return route.fulfill({ response: answer });
    const day = (await answer.json()) as { kits: { kit: { trials: number } }[] };
    for (const { kit } of day.kits) kit.trials = 20;
    await route.fulfill({ response: answer, body: JSON.stringify(day) });
  });
  await enter(page, demo, line, "caregiver");
  let taps = 0;
  const press = async (selector: string): Promise<void> => {
    await page.locator(selector).first().click();
    taps++;
  };
  await press('.next a[href^="/record/"]');
  await press("[data-before] button[type=submit]");
  for (let n = 0; n < 20; n++, taps++) await tap(page, shadow, n % 2 === 0 ? "alone" : "not_yet");
  await press("[data-finish]");
  await expect(page.locator('[data-part="done"]')).toBeVisible();
  expect(taps).toBe(23);
});

test("paused at once, even offline; what the family says about it is kept, and only the clinic starts it again", async ({ another, demo, line, shadow, desk }, info) => {
  const { page } = await another();
  await enter(page, demo, line, "lubna");
  await workerReady(page);
  line.down();
  await begin(page);
  await tap(page, shadow, "declined");
  await page.locator('[data-part="declined"] [data-stop]').click();
  await expect(page.getByRole("heading", { name: "Stopped." })).toBeVisible();
  await page.getByRole("link", { name: "Back to Today" }).click();
  await expect(page.locator(".resting")).toBeVisible();
  await page.locator(".resting").getByRole("textbox").fill("He was tired after nursery.");
  await page.locator(".resting").getByRole("button", { name: "We talked about it" }).click();
  await expect(page.locator(".resting .said")).toContainText("He was tired after nursery.");
  line.up();
  const noted = page.waitForResponse("**/phone/talks/*");
  await page.reload();
  expect((await noted).status()).toBe(200);
  await expect(page.locator(".resting .said li")).toHaveCount(1);
  await page.reload();
  await expect(page.locator(".resting .said li")).toHaveCount(1); // now from the day
  await shot(page, info, "offline-today");
  await lift(desk, "Rami", "Shorter, and he chooses who teaches.");
  await page.reload();
  await expect(page.locator(".resting")).toHaveCount(0);
});

/** Makes the pages believe that it is a different day. */
async function shifted(page: Page, ms: number): Promise<void> {
  await page.addInitScript((by) => {
    const Real = Date;
    const now = Real.now.bind(Real);
    Real.now = () => now() + by;
    const Shifted = function (this: unknown, ...args: unknown[]) {
      return Reflect.construct(Real, args.length === 0 ? [now() + by] : args, new.target ?? Shifted);
    } as unknown as DateConstructor;
    Object.setPrototypeOf(Shifted, Real);
    Object.defineProperty(Shifted, "prototype", { value: Real.prototype });
    window.Date = Shifted;
  }, ms);
}

const YEAR = 365 * 24 * 3_600_000;
for (const [name, ms] of [["fast", YEAR], ["slow", -YEAR]] as const) {
  test(`F41: a clock a year ${name} does no harm, and the server says that it corrected the time`, async ({ another, demo, line, shadow, eyes }) => {
    const { page } = await another();
    await shifted(page, ms);
    await enter(page, demo, line, "caregiver");
    await workerReady(page);
    line.down();
    await begin(page);
    await tap(page, shadow);
    const id = (await openSession(page))?.id ?? "";
    // The page is closed in between, so that only the wrong clock knows how long.
    await page.reload();
    await page.locator("[data-resume]").click();
    await toTheEnd(page, shadow);
    await finish(page);
    line.up();
    await page.goto("/today");
    await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
    const seen = await (await eyes.get(`/recordings/${id}`)).text();
    expect(seen).toContain("The phone’s clock was wrong. The times were corrected.");
    expect(seen).toContain(String(new Date().getFullYear()));
    expect(seen).not.toContain(String(new Date(Date.now() + ms).getFullYear()));
  });
}
