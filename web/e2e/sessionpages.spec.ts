import { expect, type Page } from "@playwright/test";
import type { Kit, RecordingDocument } from "../src/ts/phone/contract";
import { expectAccessible } from "./axe";
import { sessions } from "./kept";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { answerButton, begin, enter, tap, test } from "./phone";
import { openSession } from "./shadow";
import { shot } from "./shot";
import { lift, recorder } from "./taught";
import { unconditional } from "./unconditional";

// The recorder's pages beside its faces, and every size that a face has to fit.

/** Starts a session of five tries with four levels of help, whatever is next. */
async function start(page: Page): Promise<void> {
  await page.goto(await recorder(page, "Which cup?"));
  await page.locator('input[name="kind"][value="teaching"]').evaluate((e: HTMLInputElement) => (e.checked = true)); // whatever is planned
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

const soFar = (page: Page) => page.locator('[data-part="rail"] [data-so-far]');

/** The newest session on this phone. */
async function newest(page: Page): Promise<RecordingDocument> {
  const all = await sessions(page);
  return all.sort((a, b) => (a.id < b.id ? -1 : 1)).pop()!.doc as unknown as RecordingDocument;
}

/** Changes every kit on its way to the phone. */
async function withKits(page: Page, change: (kit: Kit) => void): Promise<void> {
  await page.route("**/phone/day", async (route) => {
    const answer = await unconditional(route);
    if (!answer.ok()) return route.fulfill({ response: answer });
    const day = (await answer.json()) as { kits: { kit: Kit }[] };
    day.kits.forEach(({ kit }) => change(kit));
    await route.fulfill({ response: answer, body: JSON.stringify(day) });
  });
}

test("after a no, Stop is where the page says stop, and nothing is where the thumb was; after a second one there is no going on", async ({ hand: page, shadow }, info) => {
  await start(page);
  await tap(page, shadow);
  await tap(page, shadow, "declined");
  const declined = page.locator('[data-part="declined"]');
  await expect(declined.getByRole("heading", { name: "Kavi said no." })).toBeFocused();
  await expect(declined.locator("[data-stop]")).toBeEnabled();
  expect((await declined.locator("[data-stop]").boundingBox())!.width).toBeGreaterThan(280);
  const pressed = await page.evaluate(() => {
    const found: string[] = [];
    for (let y = innerHeight - 110; y < innerHeight; y += 6) for (let x = 4; x < innerWidth; x += 12) if (document.elementFromPoint(x, y)?.closest("button, a")) found.push(`${x}, ${y}`);
    return found;
  });
  expect(pressed).toEqual([]);
  await expectAccessible(page);
  await shot(page, info, "after-a-no");
  await declined.locator("[data-came-back]").click();
  await expect(soFar(page)).toHaveText(/^3 of/);
  await tap(page, shadow, "declined");
  await expect(declined.getByRole("heading", { name: "A second no." })).toBeVisible();
  await expect(declined.locator("[data-came-back]")).toBeHidden();
  await declined.locator("[data-undo]").click();
  await expect(soFar(page)).toHaveText(/^3 of/);
  await tap(page, shadow, "declined");
  await declined.locator("[data-stop]").click();
  await expect(page.getByRole("heading", { name: "Stopped." })).toBeVisible();
  await page.locator("[data-unstop]").click(); // the family's programs stay as they are for the next test
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
});

test("taps meant for the rail do nothing on the page after a no", async ({ hand: page }) => {
  await start(page);
  const held = await page.evaluate(async () => {
    document.querySelector<HTMLElement>('[data-part="rail"] [data-answer="declined"]')!.click();
    const section = document.querySelector<HTMLElement>('[data-part="declined"]')!;
    while (section.hidden) await new Promise((again) => setTimeout(again, 5));
    section.querySelectorAll<HTMLElement>("button").forEach((b) => b.click());
    await new Promise((again) => setTimeout(again, 50));
    return { declined: !section.hidden, stopped: !document.querySelector<HTMLElement>('[data-part="stopped"]')!.hidden };
  });
  expect(held).toEqual({ declined: true, stopped: false });
  await page.locator('[data-part="declined"] [data-undo]').click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
});

test("Finish here asks once, and ends the session as ended by the adult; with nothing recorded nothing is kept", async ({ hand: page, shadow }, info) => {
  await start(page);
  const before = (await sessions(page)).length;
  await page.locator('[data-part="rail"] [data-finish-here]').click();
  await expect(page.getByText("Nothing is recorded yet.").filter({ visible: true })).toBeVisible();
  await page.locator("[data-finish-here-yes]").click();
  await expect(page.locator(".day").first()).toBeVisible();
  expect((await sessions(page)).length).toBe(before - 1);

  await start(page);
  await tap(page, shadow);
  await tap(page, shadow, "not_yet");
  await page.locator('[data-part="rail"] [data-finish-here]').click();
  await expect(page.getByRole("heading", { name: "Finish here?" })).toBeFocused();
  await expectAccessible(page);
  await shot(page, info, "finish-here");
  await page.locator('[data-part="ending"] [data-back]').click();
  await expect(soFar(page)).toHaveText(/^3 of/);
  await page.locator('[data-part="rail"] [data-finish-here]').click();
  await page.locator("[data-finish-here-yes]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
  await expect(page.getByText("You recorded 2 tries.").filter({ visible: true })).toBeVisible();
  const doc = await newest(page);
  expect([doc.header.ended_early, doc.trials.length, doc.closing?.last]).toEqual([{ rev: 1, value: "other" }, 2, 2]);
});

test("each line of what is recorded can be corrected, taken out and undone", async ({ hand: page, shadow }, info) => {
  await start(page);
  for (const answer of ["alone", "help", "not_yet"]) await tap(page, shadow, answer);
  const see = page.locator('[data-part="rail"] [data-written]');
  await expect(see).toHaveAccessibleName(/^4 of \d: see what is recorded$/);
  await see.click();
  const lines = page.locator("[data-written-list] button");
  await expect(lines).toHaveCount(3);
  await expect(page.getByRole("heading", { name: "Recorded so far" })).toBeFocused();
  await expectAccessible(page);
  await expectTargets(page, 48);
  await shot(page, info, "recorded-so-far");
  await lines.first().click();
  await expect(page.locator("[data-choices] [aria-pressed=true]")).toContainText("Without help");
  await page.locator("[data-choices] button", { hasText: "no answer" }).click();
  await expect(soFar(page)).toHaveText(/^4 of/);
  const trial = async (n: number) => ((await openSession(page))!.doc as unknown as RecordingDocument).trials[n - 1]!;
  await expect.poll(() => trial(1)).toMatchObject({ n: 1, rev: 2, answer: { outcome: "no_response", none: true } });
  await page.locator('[data-part="rail"] [data-undo]').click(); // takes the correction back, and nothing else
  await expect.poll(() => trial(1)).toMatchObject({ n: 1, rev: 3, answer: { outcome: "correct" } });
  await expect(soFar(page)).toHaveText(/^4 of/);
  await see.click();
  await lines.nth(1).click();
  await page.locator("[data-choices] button", { hasText: "Remove it" }).click();
  await expect(soFar(page)).toHaveText(/^3 of/);
  expect(await trial(2)).toMatchObject({ n: 2, rev: 2, void: true });
  await page.locator('[data-part="rail"] [data-undo]').click();
  await expect(soFar(page)).toHaveText(/^4 of/);
  expect(await trial(2)).toMatchObject({ n: 2, rev: 3, answer: { outcome: "correct" } });
});

test("a second tap of the same answer at once is no second try, and a held key answers once", async ({ hand: page }) => {
  await start(page);
  await page.evaluate(() => {
    const press = (answer: string): void => document.querySelector<HTMLElement>(`[data-part="rail"] [data-answer="${answer}"]`)!.click();
    ["alone", "alone", "not_yet", "no_response", "no_response"].forEach(press);
  });
  await expect(soFar(page)).toHaveText(/^4 of/);
  const alone = await answerButton(page, "alone");
  await alone.focus();
  await page.keyboard.down("Enter");
  for (let n = 0; n < 4; n++) await page.keyboard.down("Enter"); // repeats, as long as it is held
  await page.keyboard.up("Enter");
  await expect(soFar(page)).toHaveText(/^5 of/);
  expect((await openSession(page))!.doc.trials.length).toBe(4);
});

test("an undo of a stop that comes too late is not offered, and neither is another reason", async ({ another, demo, line, be }) => {
  const { page } = await another();
  await page.clock.install();
  await enter(page, demo, line, "sami");
  await page.clock.resume();
  await begin(page);
  await (await answerButton(page, "alone")).click();
  await expect(soFar(page)).toHaveText(/^2 of/);
  await page.locator('[data-part="rail"] [data-stop]').click();
  await expect(page.locator("[data-unstop]")).toBeVisible();
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  // Within ten seconds it works: for another reason, which is no refusal.
  await page.locator("[data-other]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
  expect((await newest(page)).header.ended_early?.value).toBe("other");
  await page.locator('[data-part="done"] [data-leave]').click();
  await begin(page);
  await (await answerButton(page, "alone")).click();
  await expect(soFar(page)).toHaveText(/^2 of/);
  await page.locator('[data-part="rail"] [data-stop]').click();
  await expect(page.locator('[data-part="stopped"] [data-kept]')).toHaveText("Saved on this phone.");
  await page.clock.fastForward(11_000);
  await expect(page.locator("[data-unstop]")).toBeHidden();
  await expect(page.locator("[data-other]")).toBeHidden();
  await expect.poll(async () => (await newest(page)).closing?.last).toBe(1);
  expect((await newest(page)).header.ended_early?.value).toBe("distress");
  await page.locator('[data-part="stopped"] [data-leave]').click();
  await expect(page.locator(".resting")).toBeVisible();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt !== undefined)).toBe(true);
  await lift(await be("supervisor"), "Rami", "Shorter, and he chooses who teaches."); // for the next test
});

test("where one only looks there is no rail, and the page says so before and during the session", async ({ hand: page, shadow }, info) => {
  await page.goto("/today");
  await page.locator('.next a[href^="/record/"]').first().click();
  await expect(page.locator("[data-look]")).toBeHidden();
  await page.locator(".unusual summary").click();
  await page.locator(".chip", { has: page.locator('input[value="probe"]') }).click();
  await expect(page.locator("[data-look]")).toContainText("Today only look: no help, no correction.");
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
  await expect(page.locator('[data-part="rail"] [data-answer="help"]')).toHaveCount(0);
  await expect(page.locator('[data-part="rail"] .hand')).toHaveCount(0);
  await expect(page.locator('[data-part="rail"] [data-counts]')).toContainText("Today only look");
  await shot(page, info, "only-look");
  await tap(page, shadow);
  const doc = (await openSession(page))!.doc as unknown as RecordingDocument;
  expect([doc.header.kind.value, doc.header.planned_help?.value]).toEqual(["probe", ""]);
  await page.locator('[data-part="rail"] [data-written]').click();
  await page.locator("[data-written-list] button").first().click();
  await expect(page.locator("[data-choices] button")).toHaveCount(6); // without help, not yet, the second row, remove
});

test("the upper half says what the step asks, and a press shows the rest", async ({ another, demo, line }, info) => {
  const { page } = await another({ serviceWorkers: "block" }); // a made-up response, which a worker would hide
  await withKits(page, (kit) => Object.assign(kit, { moment: "One turn of hiding.", examples: ["looks at the cup"], non_examples: ["looks at you"], actions: "Turns away and looks." }));
  await enter(page, demo, line, "caregiver");
  await begin(page);
  const ask = page.locator('[data-part="rail"] [data-brief]');
  await expect(ask).toContainText("Counts: ");
  await expect(page.locator('[data-part="rail"] [data-face-title]')).toBeFocused();
  await ask.click();
  for (const text of ["One turn of hiding.", "looks at the cup", "looks at you", "Turns away and looks."]) await expect(page.locator('[data-part="brief"]')).toContainText(text);
  await expectAccessible(page);
  await shot(page, info, "what-the-step-asks");
  await page.locator('[data-part="brief"] [data-back]').click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
});

test("what was begun is gone on with from its address, or finished as it is", async ({ hand: page, shadow }) => {
  await start(page);
  const address = page.url();
  await tap(page, shadow);
  const { id } = (await openSession(page))!;
  await page.goto("/today");
  await page.goto(address + "?open=" + id);
  await expect(soFar(page)).toHaveText(/^2 of/);
  await tap(page, shadow, "not_yet");
  await page.goto("/today");
  await page.goto(address);
  await page.locator("[data-as-it-is]").click();
  await expect(page.locator("[data-resume-box]")).toBeHidden();
  await expect.poll(async () => (await newest(page)).closing?.last).toBe(2);
  await page.reload();
  await expect(page.locator("[data-before]")).toBeVisible();
  await expect(page.locator("[data-resume-box]")).toBeHidden();
});

test("an empty duration is no record of nothing: it has to be said that it never happened", async ({ another, demo, line }) => {
  const { page } = await another({ serviceWorkers: "block" });
  await withKits(page, (kit) => Object.assign(kit, { measure: "duration" }));
  await enter(page, demo, line, "lubna");
  await page.locator('.next a[href^="/record/"]').first().click();
  await page.locator(".unusual summary").click();
  await page.locator(".chip", { has: page.locator('input[value="afterwards"]') }).click();
  await page.locator("[data-before] button[type=submit]").click();
  const form = page.locator('[data-part="typed"]');
  await form.locator("button[type=submit]").click();
  await expect(form.getByRole("alert")).toContainText("It never happened");
  await form.locator(".chip").click();
  await form.locator("button[type=submit]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
  expect((await newest(page)).header.durations_ms).toEqual({ rev: 1, value: [] });
});

for (const [name, size, root] of [
  ["280 px", { width: 280, height: 600 }, 16],
  ["320 by 568", { width: 320, height: 568 }, 16],
  ["landscape", { width: 568, height: 320 }, 16],
  ["a larger phone in landscape", { width: 740, height: 360 }, 16],
  ["text at 130 %", { width: 360, height: 640 }, 20.8],
  ["text at 200 %", { width: 320, height: 568 }, 32],
] as const) {
  test(`the rail fits: ${name}`, async ({ another, demo, line, shadow }, info) => {
    const { page } = await another({ viewport: size });
    await page.addInitScript((px) => document.addEventListener("DOMContentLoaded", () => (document.documentElement.style.fontSize = `${px}px`)), root);
    await enter(page, demo, line, "caregiver");
    await start(page);
    await tap(page, shadow, "help");
    await expectNoSidewaysScroll(page);
    await expectTargets(page, 44);
    await shot(page, info, `rail-${name.replace(/\W+/g, "-")}`);
    const rail = page.locator('[data-part="rail"]');
    for (const part of ["[data-undo]", "[data-stop]", "[data-written]", '[data-answer="alone"]', '[data-answer="not_yet"]', "[data-cue]"]) await expect(rail.locator(part).first(), part).toBeInViewport({ ratio: 0.95 });
    // Every word is inside its button, and none is cut.
    const cut = await rail.evaluate((section) =>
      Array.from(section.querySelectorAll("button:not(.ask)")).flatMap((b) => {
        const outer = b.getBoundingClientRect();
        return Array.from(b.querySelectorAll("span")).filter((s) => {
          const inner = s.getBoundingClientRect();
          return inner.width > 0 && (inner.left < outer.left - 1 || inner.right > outer.right + 1 || inner.top < outer.top - 1 || inner.bottom > outer.bottom + 1 || s.scrollWidth > s.clientWidth + 1 && getComputedStyle(s).display !== "inline");
        }).map((s) => s.textContent);
      }),
    );
    expect(cut).toEqual([]);
    if (size.width > size.height) expect(await page.evaluate(() => document.documentElement.scrollHeight - innerHeight)).toBeLessThanOrEqual(1);
    await tap(page, shadow, "declined"); // reached by scrolling where it is not in view
    await expect(page.locator('[data-part="declined"] [data-stop]')).toBeInViewport({ ratio: 0.95 });
    await expectNoSidewaysScroll(page);
  });
}
