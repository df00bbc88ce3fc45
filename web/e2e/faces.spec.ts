import { expect, type Page, type TestInfo } from "@playwright/test";
import type { DayKit, Kit, PhoneDay, RecordingDocument } from "../src/ts/phone/contract";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { shot } from "./shot";
import { unconditional } from "./unconditional";

// The faces that record a try and something more. The phone's day is changed on its way, so that one program of the
// demo is recorded in each way; the server stores what the phone sends.

const KIT: Partial<Record<Kit["measure"], Partial<Kit>>> = {
  latency: { measure: "latency", limit_seconds: 5, targets: [], choices: 0, trials: 2, held: false },
  recovery: { measure: "recovery", limit_seconds: 60, targets: [], choices: 0, trials: 2, held: false },
  expectations: {
    measure: "expectations", targets: [], choices: 0, trials: 2, held: false,
    expectations: [{ key: "w", name: "Waits for the turn" }, { key: "t", name: "Turns over exactly two" }, { key: "p", name: "Passes the turn on" }],
  },
  chain: {
    measure: "chain", choices: 0, trials: 2, held: false, chain: "backward", taught_part: "soap", taught: ["soap", "dry"],
    targets: [{ key: "tap", name: "Turn on the tap", card: "" }, { key: "wet", name: "Wet both hands", card: "" }, { key: "soap", name: "Rub in the soap", card: "" }, { key: "dry", name: "Dry both hands", card: "" }],
  },
};

/** Opens the recorder of a program that is recorded in this way, up to Start. */
async function open(page: Page, measure: Kit["measure"]): Promise<void> {
  let placement = "";
  await page.route("**/phone/day", async (route) => {
    const response = await unconditional(route);
    const day = (await response.json()) as PhoneDay;
    const offer = day.learners.flatMap((l) => [...(l.next ? [l.next] : []), ...l.others]).find((o) => o.title === "Which cup?")!;
    offer.kinds = ["teaching"];
    const kit = day.kits.find((k: DayKit) => k.kit.placement === offer.placement)!;
    placement = kit.kit.placement;
    Object.assign(kit.kit, { planned_help: kit.kit.help_levels[0] ?? "", known: [], order: undefined, ...KIT[measure] });
    await route.fulfill({ response, body: JSON.stringify(day) });
  });
  await page.goto("/today");
  await expect.poll(() => placement).not.toBe("");
  await expect(page.locator(".day").first()).toBeVisible();
  await page.goto("/record/" + placement);
}

async function start(page: Page, measure: Kit["measure"]): Promise<void> {
  await open(page, measure);
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator(`[data-part="${measure}"]`)).toBeVisible();
}

/** What the next delivery of a finished session contains. */
function delivered(page: Page): Promise<RecordingDocument> {
  return page.waitForRequest((r) => r.method() === "PUT" && r.url().includes("/recordings/") && (r.postData() ?? "").includes('"closing"')).then((r) => JSON.parse(r.postData() ?? "") as RecordingDocument);
}

async function finish(page: Page): Promise<RecordingDocument> {
  const sent = delivered(page);
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
  const doc = await sent;
  await expect(page.locator('[data-part="done"] [data-kept]')).toContainText(/sent|clinic/i);
  return doc;
}

const answers = (doc: RecordingDocument) => doc.trials.filter((t) => !t.void).map((t) => t.answer!);

async function sound(page: Page, info: TestInfo, name: string): Promise<void> {
  await expectAccessible(page);
  await expectNoSidewaysScroll(page);
  await expectTargets(page, 44);
  await shot(page, info, name);
}

test("seconds to an answer", async ({ be }, info) => {
  const page = await be("caregiver");
  await start(page, "latency");
  const face = page.locator('[data-part="latency"]');
  await sound(page, info, "face-latency-before");
  await page.clock.install();
  await face.getByRole("button", { name: "I said it" }).click();
  await expect(face.getByRole("button", { name: "Not in 5 s" })).toBeVisible();
  await page.clock.runFor(3000);
  await expect(face.locator("[data-seconds]")).toHaveText(/^[34]$/);
  await sound(page, info, "face-latency-waiting");
  await face.locator('[data-answer="alone"]').click();
  await face.getByRole("button", { name: "I said it" }).click();
  // Undo takes back only the clock, which has not become an answer.
  await face.locator("[data-undo]").click();
  await expect(face.getByRole("button", { name: "I said it" })).toBeVisible();
  await page.clock.runFor(1000);
  await face.getByRole("button", { name: "I said it" }).click();
  await page.clock.runFor(6000);
  await face.getByRole("button", { name: "Not in 5 s" }).click();
  const [first, second] = answers(await finish(page));
  expect(first).toMatchObject({ outcome: "correct" });
  expect(first?.latency_ms).toBeGreaterThanOrEqual(3000);
  expect(first?.latency_ms).toBeLessThan(5000);
  expect(second).toEqual({ outcome: "no_response", none: true });
});

test("seconds to recover, beside an answer", async ({ be }, info) => {
  const page = await be("caregiver");
  await start(page, "recovery");
  const face = page.locator('[data-part="recovery"]');
  await sound(page, info, "face-recovery-before");
  await page.clock.install();
  await face.getByRole("button", { name: "It happened" }).click();
  await page.clock.runFor(41_000);
  await expect(face.locator("[data-seconds]")).toHaveText(/^0:4\d$/);
  await sound(page, info, "face-recovery-running");
  await face.getByRole("button", { name: "Steady again" }).click();
  await expect(face.locator("[data-back-after]")).toHaveText(/^Steady again after 4\d seconds\.$/);
  await sound(page, info, "face-recovery-answer");
  await face.getByRole("button", { name: "Change the seconds" }).click();
  await face.locator("[data-typed-seconds]").fill("soon");
  await face.getByRole("button", { name: "Keep" }).click();
  await expect(face.getByRole("alert")).toContainText("1:15");
  await sound(page, info, "face-recovery-changing");
  await face.locator("[data-typed-seconds]").fill("1:15");
  await face.getByRole("button", { name: "Keep" }).click();
  await expect(face.locator("[data-back-after]")).toHaveText("Steady again after 75 seconds.");
  await face.locator('[data-answer="alone"]').click();
  await page.clock.runFor(1000);
  await face.getByRole("button", { name: "It happened" }).click();
  await page.clock.runFor(61_000);
  await face.getByRole("button", { name: "Not within 60 seconds" }).click();
  await face.locator('[data-answer="not_yet"]').click();
  const doc = await finish(page);
  expect(answers(doc)).toEqual([
    { outcome: "correct", recovery_ms: 75_000, adjusted: true },
    { outcome: "incorrect", recovery_none: true },
  ]);
  expect(doc.contract).toBe(2);
});

test("what runs goes on after a reload", async ({ be }) => {
  const page = await be("caregiver");
  await start(page, "recovery");
  const face = page.locator('[data-part="recovery"]');
  await face.getByRole("button", { name: "It happened" }).click();
  await face.getByRole("button", { name: "Steady again" }).click();
  await face.locator('[data-answer="alone"]').click();
  await expect(page.locator("#said")).toContainText("1 of 2");
  await face.getByRole("button", { name: "It happened" }).click();
  await expect(face.getByRole("button", { name: "Steady again" })).toBeVisible();
  await page.reload();
  await page.locator("[data-resume]").click();
  await expect(face.getByRole("button", { name: "Steady again" })).toBeVisible();
  await face.getByRole("button", { name: "Steady again" }).click();
  await face.locator('[data-answer="not_yet"]').click();
  const [, second] = answers(await finish(page));
  expect(second?.outcome).toBe("incorrect");
  expect(second?.recovery_ms).toBeGreaterThanOrEqual(0);
});

test("several expectations in one try", async ({ be }, info) => {
  const page = await be("caregiver");
  await start(page, "expectations");
  const face = page.locator('[data-part="expectations"]');
  await sound(page, info, "face-expectations");
  await face.getByRole("button", { name: "All of it, without help" }).click();
  const turns = face.getByRole("group", { name: "Turns over exactly two" });
  await turns.locator('[data-exp="help"]').click();
  await face.getByRole("group", { name: "Waits for the turn" }).locator('[data-exp="alone"]').click();
  await expect(face.getByRole("button", { name: "Record it" })).toContainText("1 left open");
  await expect(turns.locator('[data-exp="help"]')).toHaveAttribute("aria-pressed", "true");
  await sound(page, info, "face-expectations-partly");
  await face.getByRole("button", { name: "Record it" }).click();
  const [first, second] = answers(await finish(page));
  expect(first).toEqual({ outcome: "correct", expected: ["w", "t", "p"].map((key) => ({ key, outcome: "correct" })) });
  expect(second).toMatchObject({ outcome: "correct" });
  expect(second?.help).toBeTruthy();
  expect(second?.expected).toEqual([{ key: "w", outcome: "correct" }, { key: "t", outcome: "correct", help: second?.help }, { key: "p", outcome: "no_chance" }]);
});

test("the parts of a chain, taught from the end", async ({ be }, info) => {
  const page = await be("caregiver");
  await start(page, "chain");
  const face = page.locator('[data-part="chain"]');
  // The adult does the first two as planned.
  await expect(face.locator("[data-part-name]")).toHaveText("Rub in the soap");
  await sound(page, info, "face-chain");
  await face.locator('[data-answer="not_yet"]').click();
  await expect(face.locator("[data-part-name]")).toHaveText("Dry both hands");
  await face.locator("[data-undo]").click();
  await expect(face.locator("[data-part-name]")).toHaveText("Rub in the soap");
  await face.locator('[data-answer="help"]').last().click();
  await face.getByRole("button", { name: "I did it" }).click();
  const doc = await finish(page);
  expect(answers(doc).map((a) => [a.target, a.outcome])).toEqual([["tap", "adult_part"], ["wet", "adult_part"], ["soap", "correct"], ["dry", "adult_part"]]);
  expect(answers(doc)[2]?.help).toBeTruthy();
});
