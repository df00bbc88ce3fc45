import { expect, type Page, type TestInfo } from "@playwright/test";
import type { Kit, PhoneDay, RecordingDocument } from "../src/ts/phone/contract";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { sessions } from "./kept";
import { shot } from "./shot";
import { unconditional } from "./unconditional";

// What is not recorded try by try: a count, durations, intervals. The page's clock is moved by hand, so that minutes pass
// at once and a sleeping phone is one jump.

const SECOND = 1000, MINUTE = 60 * SECOND;

/** Every step on the phone measures this. */
async function measuring(page: Page, change: Partial<Kit>): Promise<void> {
  await page.clock.install();
  await page.route("**/phone/day", async (route) => {
    const response = await unconditional(route);
    const day = (await response.json()) as PhoneDay;
    for (const { kit } of day.kits) Object.assign(kit, { minutes: 10 }, change);
    await route.fulfill({ response, body: JSON.stringify(day) });
  });
}

/** Nothing leaves the phone: the invented clinic stays as other tests know it. */
async function offline(page: Page): Promise<void> {
  await page.route("**/recordings/*", (route) => route.abort());
}

async function start(page: Page, part: string, how: "live" | "afterwards" = "live"): Promise<void> {
  await page.goto("/today");
  const teach = (await page.locator('.next a[href^="/record/"]').first().getAttribute("href")) ?? "";
  await page.goto(teach);
  if (how === "afterwards") {
    await page.locator(".unusual summary").click();
    await page.locator('.chip:has(input[value="afterwards"])').click();
  }
  await page.locator("[data-before] button[type=submit]").click();
  await expect(face(page, part)).toBeVisible();
}

const face = (page: Page, part: string) => page.locator(`section[data-part="${part}"]`);
const visible = (page: Page, selector: string) => page.locator(selector).filter({ visible: true });

/** Presses something once it can be meant, and lets the time pass in which a second press would not count. */
async function press(page: Page, selector: string): Promise<void> {
  await page.clock.fastForward(SECOND);
  await visible(page, selector).first().click();
  await page.clock.fastForward(400);
}

/** Moves the page's clock to so many seconds after the first interval started. */
async function after(page: Page, seconds: number): Promise<void> {
  const kept = (await sessions(page)).pop() as unknown as { face: { state: { now: { start: number } } } };
  const now = await page.evaluate(() => Date.now());
  await page.clock.fastForward(kept.face.state.now.start + seconds * SECOND - now);
}

/** The one document on this phone, as it would be sent. */
async function stored(page: Page): Promise<RecordingDocument> {
  return (await sessions(page)).pop()!.doc as unknown as RecordingDocument;
}

/** What the header has, without revisions. */
async function header(page: Page): Promise<Record<string, unknown>> {
  const { header } = await stored(page);
  return Object.fromEntries(Object.entries(header).map(([name, field]) => [name, (field as { value?: unknown }).value]));
}

/** A face at every size: nothing sideways, everything large enough, and what is most likely pressed on the screen. */
async function everySize(page: Page, info: TestInfo, name: string, foot = "[data-foot]"): Promise<void> {
  await expectAccessible(page);
  await expectTargets(page, 48);
  for (const [size, width, height, text] of [["small", 320, 568, 100], ["narrow", 280, 568, 100], ["landscape", 568, 320, 100], ["large-text", 320, 568, 200]] as const) {
    await page.setViewportSize({ width, height });
    await page.evaluate((percent) => (document.documentElement.style.fontSize = `${percent}%`), text);
    await expectNoSidewaysScroll(page);
    const bottom = async (): Promise<number> => {
      const box = await visible(page, foot).last().boundingBox();
      return box === null ? 9999 : box.y + box.height;
    };
    // The page fits itself to a new size once it has been drawn at it.
    await expect.poll(bottom, `${name}, ${size}: the foot is on the screen`).toBeLessThanOrEqual(height + 0.5);
    await shot(page, info, `face-${name}-${size}`);
  }
  await page.evaluate(() => (document.documentElement.style.fontSize = ""));
  await page.setViewportSize({ width: 320, height: 568 });
  await page.emulateMedia({ colorScheme: "dark" });
  await expectAccessible(page);
  await shot(page, info, `face-${name}-dark`);
  await page.emulateMedia({ colorScheme: "light" });
}

const COUNT: Partial<Kit> = { measure: "count" };

test("a count: the clock, +1, −1, a pause, the limit, one more in time", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, COUNT);
  await offline(page);
  await start(page, "count");
  await everySize(page, info, "count-before");
  await press(page, "[data-start]");
  for (let i = 0; i < 4; i++) await press(page, "[data-more]");
  await expect(visible(page, "[data-number]")).toHaveText("4");
  await everySize(page, info, "count-running");
  await press(page, "[data-less]");
  await expect(visible(page, "[data-number]")).toHaveText("3");
  await press(page, "[data-pause]");
  await page.clock.fastForward(20 * MINUTE);
  await expect(visible(page, "[data-note]")).toHaveText("Paused. Nothing counts now.");
  await expect(visible(page, "[data-more]")).toHaveCount(0);
  await press(page, "[data-undo]"); // as if there had been no pause: the limit is over
  await expect(visible(page, "[data-note]")).toContainText("The clock stopped by itself at 10:00.");
  await page.clock.fastForward(SECOND);
  expect(await header(page)).toMatchObject({ count: 3, observed_ms: 600_000, clock: "used" });
  await expect(visible(page, "[data-late]")).toHaveCount(0); // more than a minute ago
  await everySize(page, info, "count-over");
  await press(page, "[data-done]");
  await expect(page.locator("[data-tries-text]")).toHaveText("You counted it 3 times in 10:00.");
  expect((await stored(page)).closing).toBeDefined();
});

test("the limit comes by itself: one more in time counts, for a minute", async ({ be }) => {
  const page = await be("caregiver");
  await measuring(page, COUNT);
  await offline(page);
  await start(page, "count");
  await press(page, "[data-start]");
  await press(page, "[data-more]");
  await page.clock.fastForward(10 * MINUTE);
  await expect(visible(page, "[data-late]")).toBeVisible();
  await press(page, "[data-late]");
  await expect(visible(page, "[data-number]")).toHaveText("2");
  await page.clock.fastForward(MINUTE);
  await expect(visible(page, "[data-late]")).toHaveCount(0);
  await press(page, "[data-done]");
  expect(await header(page)).toMatchObject({ count: 2, observed_ms: 600_000 });
});

test("a count without a clock: the minutes are asked at the end, and no rate is made up without them", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, COUNT);
  await offline(page);
  await start(page, "count");
  await press(page, "[data-no-clock]");
  await press(page, "[data-more]");
  await press(page, "[data-done]");
  await everySize(page, info, "count-minutes", "input");
  await visible(page, "input").fill("soon");
  await press(page, "form [data-foot]");
  await expect(visible(page, "[data-wrong]")).toHaveText("Minutes: use a number, for example 10 or 7:30.");
  await expectAccessible(page);
  await visible(page, "input").fill("");
  await press(page, "form [data-foot]");
  await expect(page.locator("[data-tries-text]")).toHaveText("You counted it 1 time, without a clock.");
  const got = await header(page);
  expect(got).toMatchObject({ count: 1, clock: "none" });
  expect(got["observed_ms"]).toBeUndefined();
});

test("a reload while the clock runs: it goes on by the wall clock, and what is stored is what was confirmed", async ({ be }) => {
  const page = await be("caregiver");
  await measuring(page, COUNT);
  await offline(page);
  await start(page, "count");
  const address = page.url();
  await press(page, "[data-start]");
  await press(page, "[data-more]");
  await press(page, "[data-more]");
  const before = Date.parse((await stored(page)).started_at);
  await page.goto("about:blank"); // the page is killed
  await page.clock.fastForward(3 * MINUTE);
  await page.goto(address);
  await page.locator("[data-resume]").click();
  await expect(visible(page, "[data-number]")).toHaveText("2");
  await press(page, "[data-more]");
  const { observed_ms, count } = await header(page);
  const since = (await page.evaluate(() => Date.now())) - before;
  expect(count).toBe(3);
  expect(observed_ms as number).toBeGreaterThan(3 * MINUTE);
  expect(observed_ms as number).toBeLessThan(since);
  // Stopped: the child's no keeps what the clock has measured by then, and the stop can be undone.
  await page.clock.fastForward(MINUTE);
  await visible(page, "[data-stop]").click();
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  const stopped = await header(page);
  expect(stopped).toMatchObject({ ended_early: "distress", count: 3 });
  expect(stopped["observed_ms"] as number).toBeGreaterThanOrEqual(4 * MINUTE);
  await page.locator("[data-unstop]").click();
  await expect(visible(page, "[data-number]")).toHaveText("3");
  await press(page, "[data-more]");
  expect(await header(page)).toMatchObject({ ended_early: "", count: 4 });
});

test("durations, bout by bout: the list, still going, an earlier end, finishing while it runs", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, { measure: "duration" });
  await offline(page);
  await start(page, "duration");
  await everySize(page, info, "duration-idle");
  await press(page, "[data-bout]");
  await page.clock.fastForward(12 * SECOND);
  await press(page, "[data-bout]");
  await press(page, "[data-bout]");
  await page.clock.fastForward(40 * SECOND);
  await everySize(page, info, "duration-running");
  await press(page, "[data-bout]");
  await expect(page.locator("[data-bouts] li")).toHaveCount(2);
  await everySize(page, info, "duration-between");
  await press(page, "[data-bout]");
  await page.clock.fastForward(5 * MINUTE);
  await expect(page.getByRole("heading", { name: "Is it still happening?" })).toBeVisible();
  await everySize(page, info, "duration-still");
  await press(page, "[data-still]");
  await expect(visible(page, "[data-bout]")).toHaveText("It stops");
  await page.clock.fastForward(5 * MINUTE + SECOND);
  await press(page, "[data-earlier]");
  await visible(page, "input").fill("99");
  await press(page, "form [data-foot]");
  await expect(visible(page, "[data-wrong]")).toContainText("It cannot be longer than the clock has run.");
  await visible(page, "input").fill("2:30");
  await everySize(page, info, "duration-earlier", "input");
  await press(page, "form [data-foot]");
  const three = await header(page);
  expect(three["estimated"]).toEqual([3]);
  expect((three["durations_ms"] as number[]).length).toBe(3);
  await press(page, "[data-bout]");
  await press(page, "[data-done]"); // it runs: asked once
  await expect(page.getByRole("heading", { name: "Is it still happening?" })).toBeVisible();
  expect((await stored(page)).closing).toBeUndefined();
  await press(page, "[data-just-now]");
  await expect(page.locator("[data-tries-text]")).toContainText("It happened 4 times, for");
  await expect(page.locator("[data-tries-text]")).toContainText("The length of 1 is an estimate.");
  expect((await header(page))["durations_ms"]).toHaveLength(4);
});

test("it never happened is an answer of its own; nothing pressed records nothing", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, { measure: "duration" });
  await offline(page);
  await start(page, "duration");
  await expect(visible(page, "[data-done]")).toHaveCount(0); // there is nothing to finish
  await press(page, "[data-never]");
  await everySize(page, info, "duration-never");
  expect((await header(page))["durations_ms"]).toEqual([]);
  await press(page, "[data-undo]");
  expect((await header(page))["durations_ms"]).toBeUndefined();
  await press(page, "[data-bout]");
  await expect(visible(page, "[data-never]")).toHaveCount(0);
  await press(page, "[data-undo]");
  await press(page, "[data-never]");
  await press(page, "[data-done]");
  await expect(page.locator("[data-tries-text]")).toHaveText("You recorded that it never happened.");
  expect((await header(page))["durations_ms"]).toEqual([]);
});

test("a bout goes on while the page is closed, and is asked about on waking", async ({ be }) => {
  const page = await be("caregiver");
  await measuring(page, { measure: "duration" });
  await offline(page);
  await start(page, "duration");
  const address = page.url();
  await press(page, "[data-bout]");
  await page.goto("about:blank");
  await page.clock.fastForward(90 * SECOND);
  await page.goto(address);
  await page.locator("[data-resume]").click();
  await expect(page.getByRole("heading", { name: "Is it still happening?" })).toBeVisible();
  await press(page, "[data-just-now]");
  const [ms] = (await header(page))["durations_ms"] as number[];
  expect(ms!).toBeGreaterThanOrEqual(90 * SECOND);
  await press(page, "[data-bout]");
  await page.clock.fastForward(20 * SECOND);
  await visible(page, "[data-stop]").click(); // the child's no ends the bout that runs
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  expect((await header(page))["durations_ms"]).toHaveLength(2);
});

const sampled = (kind: NonNullable<Kit["interval_kind"]>): Partial<Kit> => ({ measure: "intervals", interval_kind: kind, interval_seconds: 120, intervals: 6, minutes: 12 });

test("momentary intervals: asked at the buzz only; what nobody saw is left out", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, sampled("momentary"));
  await offline(page);
  await start(page, "intervals");
  await everySize(page, info, "intervals-before");
  await press(page, "[data-start]");
  await expect(visible(page, "[data-yes]")).toBeDisabled();
  await everySize(page, info, "intervals-momentary");
  await after(page, 120.5);
  await expect(visible(page, "[data-note]")).toContainText("It buzzed.");
  await visible(page, "[data-yes]").click();
  await expect(page.locator("#said")).toHaveText("Saved. 1 yes, 0 no, 0 not seen");
  await after(page, 400); // the phone slept: two intervals went by
  await expect(visible(page, "[data-interval]")).toHaveText("Interval 4 of 6");
  await after(page, 480.5);
  await visible(page, "[data-no]").click();
  await expect(page.locator("#said")).toHaveText("Saved. 1 yes, 1 no, 2 not seen");
  expect(await header(page)).toMatchObject({ intervals: [true, false], unseen: [2, 3], interval_kind: "momentary", interval_ms: 120_000 });
  await after(page, 800);
  await expect(page.getByText("All intervals are over.")).toBeVisible();
  await everySize(page, info, "intervals-over");
  await press(page, "[data-done]");
  await expect(page.locator("[data-tries-text]")).toHaveText("You recorded 2 intervals: 1 yes. 4 were not seen and are left out.");
  expect(await header(page)).toMatchObject({ intervals: [true, false], unseen: [2, 3, 5, 6] });
});

for (const [kind, first, later] of [["partial", "[data-yes]", "[data-no]"], ["whole", "[data-no]", "[data-yes]"]] as const) {
  test(`${kind} intervals: one answer may come early, the other at the buzz`, async ({ be }, info) => {
    const page = await be("caregiver");
    await measuring(page, sampled(kind));
    await offline(page);
    await start(page, "intervals");
      await press(page, "[data-start]");
    await expect(visible(page, later)).toBeDisabled();
    await everySize(page, info, `intervals-${kind}`);
    await press(page, first);
    await expect(visible(page, "[data-note]")).toHaveText("Saved. Wait for the next interval.");
    await after(page, 150); // the early answer was not asked again
    await expect(visible(page, "[data-interval]")).toHaveText("Interval 2 of 6");
    await after(page, 240.5);
    await visible(page, later).click();
    await expect(page.locator("#said")).toContainText("1 yes, 1 no");
    const yes = kind === "partial";
    expect(await header(page)).toMatchObject({ intervals: [yes, !yes], interval_kind: kind });
  });
}

test("afterwards it is typed: an error is beside its field and names it, and what was typed is repeated", async ({ be }, info) => {
  const page = await be("caregiver");
  await measuring(page, { measure: "duration" });
  await offline(page);
  await start(page, "typed", "afterwards");
  await page.getByLabel("How long did each one last?").fill("20 long");
  await page.locator("[data-count] button[type=submit]").click();
  await expect(page.locator("#typed-durations-wrong")).toContainText("for example 20 35 1:30");
  await expect(page.getByLabel("How long did each one last?")).toBeFocused();
  await expectAccessible(page);
  await expectNoSidewaysScroll(page);
  await shot(page, info, "typed-wrong");
  await page.getByLabel("How long did each one last?").fill("20 1:30");
  await page.locator("[data-count] button[type=submit]").click();
  await expect(page.locator("[data-tries-text]")).toHaveText("It happened 2 times, for 1:50 all together.");
  expect((await header(page))["durations_ms"]).toEqual([20_000, 90_000]);
});
