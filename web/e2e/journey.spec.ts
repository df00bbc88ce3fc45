import { expect, type Browser, type Locator, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test as base } from "./demo";
import { sessions } from "./kept";
import { expectNoSidewaysScroll } from "./layout";
import { startNewel, type NewelServer } from "./server";
import { shot } from "./shot";
import { haveRead } from "./training";

// The main job, typed by two people: a supervisor on a laptop and a caregiver on a phone, from an empty
// server to a decision and back. It runs once, with sizes of its own.

const test = base.extend<{ newel: NewelServer; desk: Page }>({
  newel: async ({}, use) => {
    const server = await startNewel({ demo: false });
    await use(server);
    await server.stop();
  },
  desk: async ({ browser, newel }, use) => {
    const context = await browser.newContext({ ...settings, viewport: { width: 1280, height: 800 }, baseURL: newel.url });
    await use(await context.newPage());
    await context.close();
  },
});

const program = "Putting the cup back";
const settings = { locale: "en-GB", reducedMotion: "reduce" } as const;
const phone = { ...settings, viewport: { width: 320, height: 568 }, isMobile: true, hasTouch: true };

test("from the first link to a mastered step and a refusal that is respected", async ({ desk, newel, browser }, info) => {
  test.setTimeout(240_000);
  const complaints: string[] = [];
  hear(desk, complaints);

  await test.step("the first link sets up the clinic", () => setUp(desk, newel));
  await test.step("a family, a person, a learner", () => addFamily(desk));
  const learner = desk.url();

  await test.step("nothing is assigned before what keeps a child safe is known", async () => {
    await writeProgram(desk);
    await desk.goto(`${learner}/assign`);
    const missing = desk.getByRole("alert");
    await expect(missing).toContainText("stop signs are not written down");
    await expect(missing).toContainText("no consent to keep session records");
    await expect(desk.getByRole("button", { name: "Assign" })).toHaveCount(0);
    await care(desk, learner);
    await consents(desk, learner);
    await assign(desk, learner);
  });

  const hand = await test.step("the invitation opens on the phone", () => join(desk, browser, learner, complaints));

  await test.step("today, and how to teach", async () => {
    await expect(hand.getByText("Stop signs: Covers the ears.")).toBeVisible();
    await expect(hand.getByText("Read how to teach it first.")).toBeVisible();
    await expect(hand.getByRole("link", { name: "Start" })).toHaveCount(0);
    await expectNoSidewaysScroll(hand);
    await hand.getByRole("link", { name: "How to teach" }).click();
    await expect(hand.getByText("“Cup away.”")).toBeVisible();
    await shot(hand, info, "journey-teach");
    const faces = hand.getByRole("navigation", { name: "Say, Wait and help, Then" });
    await faces.getByRole("link", { name: "Then" }).click();
    await expect(hand.getByText("A smile, and on with the day.")).toBeVisible();
    await expectAccessible(hand);
    await haveRead(hand);
    await hand.getByRole("link", { name: "Start" }).click();
  });

  await test.step("a session, with one undone and one helped", async () => {
    await begin(hand);
    await expect(hand.getByText("1 of 3")).toBeVisible();
    await press(hand, "Not yet");
    await expect(hand.getByText("2 of 3")).toBeVisible();
    await press(hand, "Undo");
    await expect(hand.getByText("1 of 3")).toBeVisible();
    await press(hand, /^point/);
    await expect(hand.getByText("2 of 3")).toBeVisible();
    await shot(hand, info, "journey-recorder");
    await expectNoSidewaysScroll(hand);
    await expectAccessible(hand);
    await press(hand, "Without help");
    await press(hand, "Without help");
    await finish(hand, 3);
    await shot(hand, info, "journey-finish");
    await expectAccessible(hand);
  });

  for (const which of ["second", "third"]) {
    await test.step(`the ${which} session, all alone`, async () => {
      await hand.getByRole("link", { name: "Done for now" }).click();
      await hand.getByRole("link", { name: "Start" }).click();
      await begin(hand);
      for (let n = 1; n <= 3; n++) {
        await expect(hand.getByText(`${n} of 3`)).toBeVisible();
        await press(hand, "Without help");
      }
      await finish(hand, 3);
    });
  }

  await test.step("the criterion is met, and the supervisor advances with a reason", async () => {
    await desk.goto("/caseload");
    await expect(desk.getByRole("heading", { name: "1 item needs a decision" })).toBeVisible();
    const met = desk.getByRole("region", { name: "Criterion met" });
    await expect(met).toContainText("3 of 3, 3 of 3");
    await shot(desk, info, "journey-caseload");
    await met.getByRole("heading", { name: "Milo" }).getByRole("link").click();
    await expect(desk.getByRole("heading", { name: "Criterion met" })).toBeVisible();
    await desk.getByLabel("Advance to the next step").check();
    await desk.getByLabel(/^Reason/).fill("Six of six by himself, two sessions in a row.");
    await desk.getByLabel(/^What you expect/).fill("Two cups within a week.");
    await desk.getByLabel(/^What the family reads/).fill("He finds the cup by himself now.");
    await desk.getByRole("button", { name: "Record the decision" }).click();
    await expect(desk.getByText("Six of six by himself, two sessions in a row.")).toBeVisible();
  });

  await test.step("the phone shows the next step and what the clinic wrote for the family, not its reason", async () => {
    await hand.getByRole("link", { name: "Done for now" }).click();
    await expect(hand.getByText("He finds the cup by himself now.")).toBeVisible();
    await expect(hand.getByText("Six of six by himself")).toHaveCount(0);
    await shot(hand, info, "journey-today");
    await hand.getByRole("link", { name: "How to teach" }).click();
    await hand.getByRole("link", { name: "More" }).click();
    await expect(hand.getByText("Both cups stand on the shelf.")).toBeVisible();
    await hand.getByRole("link", { name: "Start" }).click();
  });

  await test.step("the child says no: stopped in one tap, and the program rests", async () => {
    await begin(hand);
    await press(hand, "Said no");
    // The page ignores presses for its first half second.
    await expect(async () => {
      await hand.locator('[data-part="declined"] [data-stop]').tap({ timeout: 1000 });
      await expect(hand.getByRole("heading", { name: "Stopped." })).toBeVisible({ timeout: 500 });
    }).toPass();
    await expect(hand.locator("[data-part=stopped] [data-kept]")).toHaveText("Saved on this phone.");
    await shot(hand, info, "journey-stopped");
    await expectAccessible(hand);
    await hand.getByRole("link", { name: "Back to Today" }).click();
    await expect(hand.getByText(`${program} is paused after a no`)).toBeVisible();
    await expect(hand.getByRole("link", { name: "Start" })).toHaveCount(0);
    await expect.poll(async () => (await sessions(hand)).every((k) => k.receipt)).toBe(true); // the clinic has it
  });

  await test.step("it stands first on the caseload, and is answered by keyboard alone", async () => {
    await desk.goto("/caseload");
    await expect(desk.locator("main section").first()).toContainText("Child said no");
    await expect(desk.getByText("the family will not be asked to start it")).toBeVisible();
    await tabTo(desk, desk.getByRole("link", { name: "Lift the pause" }));
    await desk.keyboard.press("Enter");
    await desk.getByLabel("What was agreed").focus();
    await desk.keyboard.type("Shorter turns, and he may stop after each.");
    await tabTo(desk, desk.getByRole("button", { name: "Lift the pause" }));
    await desk.keyboard.press("Enter");
    await expect(desk.locator("#lift-form")).toHaveCount(0);
    await desk.goto("/caseload");
    await expect(desk.getByText("Child said no")).toHaveCount(0);
  });

  expect(complaints).toEqual([]);
});

function hear(page: Page, complaints: string[]): void {
  page.on("pageerror", (e) => complaints.push(e.message));
  page.on("console", (m) => {
    if (m.type() === "error" && !m.text().includes("status of 422")) complaints.push(m.text());
  });
}

async function setUp(desk: Page, newel: NewelServer): Promise<void> {
  const link = /http:\S+\/setup\/\S+/.exec(newel.log())?.[0];
  if (!link) throw new Error(`no first link was printed:\n${newel.log()}`);
  await desk.goto(link);
  await desk.getByLabel("Clinic name").fill("Harbour Lane Clinic");
  await desk.getByLabel("Time zone").fill("Europe/Lisbon");
  await desk.getByLabel("Your name").fill("Ines Caldeira");
  await desk.getByLabel("Your email").fill("ines@harbour-lane.example");
  await desk.getByLabel("New password").fill("short");
  await desk.getByLabel("Repeat the password").fill("short");
  await desk.getByRole("button", { name: "Set up and sign in" }).click();
  await expect(desk.locator(".error", { hasText: "This has 5 characters" })).toBeVisible();
  await expect(desk.getByLabel("Clinic name")).toHaveValue("Harbour Lane Clinic");
  await desk.getByLabel("New password").fill("kettle orbit meadow lantern");
  await desk.getByLabel("Repeat the password").fill("kettle orbit meadow lantern");
  await desk.getByRole("button", { name: "Set up and sign in" }).click();
  await expect(desk.getByRole("heading", { name: "Nothing is being taught yet" })).toBeVisible();
}

async function addFamily(desk: Page): Promise<void> {
  await desk.getByRole("link", { name: "To the families" }).click();
  await desk.getByRole("link", { name: "Add the first one" }).or(desk.getByRole("link", { name: "Add a family" })).click();
  await desk.getByLabel("Family name").fill("Brandal");
  await desk.getByLabel("Time zone").fill("Europe/Oslo");
  await desk.getByRole("button", { name: "Add family" }).click();
  await desk.getByLabel("Name", { exact: true }).fill("Astrid");
  await desk.getByRole("button", { name: "Add a person" }).click();
  await expect(desk.getByRole("heading", { name: "Astrid" })).toBeVisible();
  await desk.getByRole("link", { name: "Add a learner" }).click();
  await desk.getByLabel("Nickname").fill("Milo");
  await desk.getByLabel("Month of birth").fill("2022-04");
  await desk.getByRole("button", { name: "Save" }).click();
  if (!/\/learners\/[0-9a-f-]+$/.test(desk.url())) await desk.getByRole("link", { name: "Milo" }).click();
  await expect(desk.getByRole("heading", { name: "Milo", level: 1 })).toBeVisible();
}

async function writeProgram(desk: Page): Promise<void> {
  await desk.getByRole("link", { name: "Library" }).click();
  await desk.getByRole("link", { name: "Write the first program" }).click();
  await desk.getByLabel("Title").fill(program);
  await desk.getByRole("button", { name: "Start the draft" }).click();
  await desk.getByLabel(/^Purpose/).fill("A small job with a clear end, and the table is free again.");
  await desk.getByLabel(/^When to stop/).fill("At any stop sign. The cup can stay where it is.");
  await desk.getByLabel(/^Prompt levels/).fill("point\nshow");
  await desk.getByLabel(/^Instruction/).first().fill("Cup away.");
  await desk.getByLabel(/^Seconds before prompting/).fill("5");
  await desk.getByLabel(/^After a correct response/).fill("A smile, and on with the day.");
  await desk.getByLabel(/^Error correction/).fill("Put it away together.");
  await desk.getByLabel(/^If the child says no/).fill("The cup stays. Nothing more is asked.");
  const rows = desk.locator("li[data-step] button");
  await rows.first().click();
  await expect(desk.getByRole("heading", { name: "Step 1 of 1: the new step" })).toBeVisible();
  await step(desk, { label: "P1", name: "One cup", done: "The cup stands on the shelf.", criterion: "when he is good at it" });
  await desk.getByRole("button", { name: "Add a step", exact: true }).click();
  await expect(desk.getByRole("heading", { name: /^Step 2 of 2/ })).toBeVisible();
  await step(desk, { label: "P2", name: "Two cups", done: "Both cups stand on the shelf.", criterion: "80% independent in 2 sessions in a row, 3 or more trials" });
  await rows.first().click();
  const criterion = desk.locator("[data-crit-text]");
  await expect(criterion.locator(".error")).toContainText("For example: 80%");
  await expect(criterion.getByRole("textbox")).toHaveValue("when he is good at it");
  await criterion.getByRole("textbox").fill("80% independent in 2 sessions in a row, 3 or more trials");
  await expect(desk.locator(".critread")).toHaveText(/80% independent in 2 sessions in a row, 3 or more trials/);
  await desk.getByRole("button", { name: "Check and publish" }).click();
  await desk.getByLabel("Nothing in this program restrains").check();
  await desk.getByRole("button", { name: "Publish as version 1" }).click();
  await expect(desk.getByRole("heading", { name: "Version 1" })).toBeVisible();
}

async function step(desk: Page, said: { label: string; name: string; done: string; criterion: string }): Promise<void> {
  await desk.getByLabel(/^Label/).fill(said.label);
  await desk.getByLabel(/^Name/).fill(said.name);
  await desk.getByLabel(/^Response definition/).fill(said.done);
  await desk.getByLabel(/^Planned trials/).fill("3");
  await desk.getByLabel(/^Minutes/).fill("4");
  await desk.getByRole("textbox", { name: /^Mastery criterion/ }).fill(said.criterion);
}

async function care(desk: Page, learner: string): Promise<void> {
  await desk.getByRole("alert").getByRole("link", { name: "Do this now" }).first().click();
  await desk.goto(`${learner}/care`);
  await desk.getByLabel(/^How does this child say no/).fill("Covers the ears.");
  await desk.getByRole("button", { name: "Save" }).click();
  await expect(desk.locator(".error")).toContainText("Ask the family about allergies");
  await desk.getByLabel("I have asked the family about all four").check();
  await desk.getByRole("button", { name: "Save" }).click();
  await expect(desk.getByText("Covers the ears.")).toBeVisible();
}

async function consents(desk: Page, learner: string): Promise<void> {
  await desk.goto(`${learner}/consents`);
  for (const kind of [/^teaching with/, /^keeping session records/]) {
    await desk.getByRole("radio", { name: kind }).check();
    await desk.getByLabel(/^Given by/).fill("Astrid, mother");
    await desk.getByRole("button", { name: "Record consent" }).click();
    await expect(desk.getByRole("heading", { name: kind })).toBeVisible();
  }
}

async function assign(desk: Page, learner: string): Promise<void> {
  await desk.goto(`${learner}/assign`);
  await desk.getByRole("radio", { name: program }).check();
  await desk.getByRole("button", { name: "Assign" }).click();
  await expect(desk.getByRole("link", { name: program })).toBeVisible();
}

async function join(desk: Page, browser: Browser, learner: string, complaints: string[]): Promise<Page> {
  await desk.goto(learner);
  await desk.getByRole("link", { name: "Brandal" }).click();
  await desk.getByRole("button", { name: "Create invitation" }).click();
  const link = (await desk.locator(".address code").textContent()) ?? "";
  const context = await browser.newContext(phone);
  const hand = await context.newPage();
  hear(hand, complaints);
  await hand.goto(link);
  await hand.getByRole("button", { name: "I am Astrid" }).click();
  await expect(hand.getByRole("heading", { name: "Milo" })).toBeVisible();
  return hand;
}

/** Presses a button, once a press of it is not taken for the second half of the one before. */
async function press(hand: Page, name: string | RegExp): Promise<void> {
  const button = hand.getByRole("button", { name, exact: true });
  await expect(button).not.toHaveAttribute("data-just");
  await button.tap();
}

async function begin(hand: Page): Promise<void> {
  await hand.getByRole("button", { name: "Start" }).tap();
  await expect(hand.getByRole("button", { name: "Without help" })).toBeVisible();
}

/** Ends a session and waits until the server has it. */
async function finish(hand: Page, tries: number): Promise<void> {
  await expect(hand.getByText(`${tries} tries.`)).toBeVisible();
  await press(hand, "Finish");
  await expect(hand.getByRole("heading", { name: "Session with Milo finished" })).toBeVisible();
  await expect(hand.locator(".sent")).toHaveText("Saved at your clinic.");
}

/** Moves with the tab key, and with the arrows among the decisions of a row. */
async function tabTo(page: Page, wanted: Locator): Promise<void> {
  const there = (): Promise<boolean> => wanted.evaluate((e) => e === document.activeElement);
  const beside = (): Promise<boolean> =>
    wanted.evaluate((e) => e.closest(".acts") !== null && e.closest(".acts") === (document.activeElement?.closest(".acts") ?? null));
  for (let n = 0; n < 60; n++) {
    await page.keyboard.press("Tab");
    for (let down = 0; down < 12 && !(await there()) && (await beside()); down++) await page.keyboard.press("ArrowDown");
    if (await there()) return;
  }
  throw new Error("the keys never got there");
}
