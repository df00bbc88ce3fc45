import { expect, type Page } from "@playwright/test";
import { readFile } from "node:fs/promises";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { beginDraft, field, Keys, ladder } from "./keys";
import { expectNoSidewaysScroll } from "./layout";
import { Line } from "./line";
import { startNewel } from "./server";
import { shot } from "./shot";

// A game with two roles, written from scratch without a mouse: a series of five steps for the one who finds,
// the same for the one who hides, two steps for both. The checks find three mistakes. Then the program goes
// through versions.

test.describe.configure({ mode: "default" }); // all on one server

const title = "Which cup, by hand";
const criterion = "80% independent in 4 sessions in a row, 5 or more trials";

test("a program of two roles by keyboard, its mistakes, and its versions", async ({ be, browser }, info) => {
  test.setTimeout(240_000);
  const second = startNewel({ demo: false }); // the clinic that imports it; ready by then
  const page = await be("supervisor");
  const keys = new Keys(page);
  try {
    await test.step("the program", () => writeProgram(page, keys));
    await test.step("a ladder of five", () => writeLadder(page, keys));
    await test.step("the other role, and both", () => writeRoles(page, keys));
    await shot(page, info, "writing-roles");
    await test.step("three mistakes are found and mended", () => mend(page, keys));
    await test.step("published", async () => {
      await keys.tabTo(page.getByLabel("Nothing in this program restrains"));
      await keys.press("Space");
      await keys.tabTo(page.getByRole("button", { name: "Publish as version 1" }));
      await keys.press("Enter");
      await expect(page.getByRole("heading", { name: "Version 1" })).toBeVisible();
    });
    const said = `${keys.pressed} keys and ${keys.typed} characters of text`;
    console.log(`written, fixed and published with ${said}`);
    info.annotations.push({ type: "keystrokes", description: said });
    const file = await test.step("taken out as a file, by keyboard", async () => {
      await keys.tabTo(page.locator('a[href$="/export"]'));
      const download = page.waitForEvent("download");
      await keys.press("Enter");
      return (await download).path();
    });
    await test.step("taken in at another clinic", async () => {
      const other = await browser.newContext({ baseURL: (await second).url });
      await takeIn(await other.newPage(), (await second).log(), file);
      await other.close();
    });
    await test.step("revised, compared, and a learner moved on", () => revise(page));
  } finally {
    await (await second).stop();
  }
});

test("nothing typed is lost when a tab closes, a connection breaks, a response is lost or the server restarts", async ({ browser, demo, contextOptions }) => {
  const line = await Line.to(demo.server.url);
  const context = await browser.newContext({ ...contextOptions, baseURL: line.url, storageState: await demo.state("supervisor") });
  try {
    const first = await context.newPage();
    await beginDraft(first, "Closed in the middle");
    const draft = first.url();
    await field(first, "purpose").pressSequentially("A half sen");
    await first.close();
    const page = await context.newPage();
    await page.goto(draft);
    // The browser may have sent it while closing the tab; if not, it is offered.
    const purpose = field(page, "purpose");
    await expect.poll(async () => (await purpose.inputValue()) + (await page.locator(".kept").allTextContents()).join()).toContain("A half sen");
    if (await page.locator(".kept").isVisible()) await page.getByRole("button", { name: "Restore changes" }).click();
    await expect(purpose).toHaveValue("A half sen");
    // Without a connection the page says so, and no button leads away.
    const said = page.locator("[data-saved]");
    line.down();
    await purpose.fill("A half sentence, and the rest.");
    await expect(said).toContainText("you are offline");
    await page.locator("li[data-step] button").click();
    await expect(purpose).toHaveValue("A half sentence, and the rest.");
    line.up();
    await page.locator("li[data-step] button").click();
    await expect(field(page, ".name")).toBeVisible();
    // Stored, but the response never arrived: sending it again must not add a second text.
    line.swallow = true;
    await field(page, ".name").fill("One cup");
    await expect(said).toContainText("you are offline");
    line.swallow = false;
    await expect(said).toContainText("Saved");
    await page.goto(draft);
    await expect(purpose).toHaveValue("A half sentence, and the rest.");
    await expect(page.locator("li[data-step]")).toContainText("One cup");
    await expect(page.locator(".theirs, .kept")).toHaveCount(0);
    // The server restarts while someone types.
    const began = demo.server.restart();
    await purpose.fill("A half sentence, the rest, and more.");
    await began;
    await expect(said).toContainText("Saved");
    await page.goto(draft);
    await expect(purpose).toHaveValue("A half sentence, the rest, and more.");
  } finally {
    await context.close();
    await line.close();
  }
});

test("two people edit at once: both lines are kept, and a conflicting sentence is shown to them", async ({ be }) => {
  const mine = await be("supervisor");
  await beginDraft(mine, "Written by two");
  const things = (page: Page) => field(page, "materials");
  await store(mine, "materials", "cups");
  const theirs = await be("trainee");
  await theirs.goto(mine.url());
  await store(theirs, "materials", "cups\ntray");
  await things(mine).press("Control+End");
  await mine.keyboard.insertText("\ndisc");
  await expect(things(mine)).toHaveValue("cups\ndisc\ntray"); // while editing
  await mine.keyboard.insertText(" of wood"); // and typing continues where it was
  await expect(things(mine)).toHaveValue("cups\ndisc of wood\ntray");
  await expect(mine.locator("[data-saved]")).toContainText("Saved");
  await store(theirs, "purpose", "The trainee’s.");
  await expect(things(theirs)).toHaveValue("cups\ndisc of wood\ntray");
  // A second tab of the same person is no different from another person.
  const tab = await mine.context().newPage();
  await tab.goto(mine.url());
  await store(tab, "setting", "kitchen");
  await field(mine, "purpose").fill("The supervisor’s.");
  const asked = mine.locator(".theirs");
  await expect(asked).toContainText("The trainee’s.");
  await expect(field(mine, "setting")).toHaveValue("kitchen");
  // A button does not discard a conflict: it is shown again.
  await mine.locator("li[data-step] button").click();
  await expect(mine.locator(".problems")).toContainText("Two people were editing");
  await expect(asked).toContainText("The trainee’s.");
  await mine.getByRole("button", { name: "Use this version" }).click();
  await expect(field(mine, "purpose")).toHaveValue("The trainee’s.");
});

test("undo, redo, and a step moved by hand, by keyboard and by button", async ({ be }) => {
  const page = await be("supervisor");
  const keys = new Keys(page);
  await beginDraft(page, "Put in order");
  await keys.to(field(page, ".label"), "Escape", "Escape", "Control+Enter");
  for (const name of ["A", "B", "C"]) {
    if (name !== "A") await keys.to(field(page, ".label"), "Enter");
    await expect(page.locator("li[data-step]")).toHaveCount("ABC".indexOf(name) + 1);
    await keys.tabTo(field(page, ".name"));
    await keys.text(name);
  }
  await keys.press("Control+S");
  const order = async (want: string): Promise<void> => {
    await expect.poll(async () => (await page.locator("li[data-step] span").allTextContents().catch(() => [])).map((t) => t.trim()[0]).join("")).toBe(want);
  };
  await order("ABC");
  const row = (name: string) => page.locator("li[data-step]").filter({ hasText: new RegExp(`^\\s*${name}`) }).getByRole("button");
  const middle = async (name: string): Promise<[number, number]> => {
    const box = (await row(name).boundingBox())!;
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  await row("C").scrollIntoViewIfNeeded();
  const [from, onto] = [await middle("C"), await middle("A")];
  await page.mouse.move(...from);
  await page.mouse.down();
  await page.mouse.move(...onto, { steps: 5 });
  await page.mouse.up();
  await order("CAB");
  await page.getByRole("button", { name: "Move down" }).click();
  await order("ACB");
  await row("B").focus();
  await keys.press("Alt+ArrowUp");
  await order("ABC");
  await expect(row("B")).toBeFocused();
  await keys.press("Control+z");
  await order("ACB");
  await page.getByRole("button", { name: /^Redo/ }).click();
  await order("ABC");
});

test("sixty steps, at the smallest size and the usual, light and dark", async ({ be }, info) => {
  const page = await be("supervisor");
  await beginDraft(page, "Sixty steps");
  await page.locator("li[data-step] button").click();
  await store(page, ".name", "One");
  await ladder(page, 40);
  await ladder(page, 19);
  await expect(page.locator("li[data-step]")).toHaveCount(60);
  for (const width of [320, 1280]) {
    for (const colorScheme of ["light", "dark"] as const) {
      await page.setViewportSize({ width, height: width === 320 ? 568 : 800 });
      await page.emulateMedia({ colorScheme });
      await expectNoSidewaysScroll(page);
      await expectAccessible(page);
      await shot(page, info, `writing-sixty-${width}-${colorScheme}`);
    }
  }
});

/** Types into a field and waits until it is stored. */
async function store(page: Page, name: string, text: string): Promise<void> {
  const answered = page.waitForResponse((r) => r.request().method() === "POST" && r.url().endsWith("/draft"));
  await field(page, name).fill(text);
  await field(page, name).blur();
  await answered;
}

async function writeProgram(page: Page, keys: Keys): Promise<void> {
  await page.goto("/programs/new");
  await keys.tabTo(page.getByLabel("Title"));
  await keys.text(title);
  await keys.press("Tab");
  await keys.text("play");
  await keys.press("Enter");
  await page.waitForURL(/\/draft/);
  await keys.press("Escape", "Escape"); // to the list, and from there to the first field
  await expect(field(page, "title")).toBeFocused();
  await keys.fill([
    ["purpose", "A first game of hiding and guessing; keeping a small secret, in both roles."],
    ["prerequisites", "lifts a cup\ntolerates eyes closed or turned away for 3 seconds\nnames or points"],
    // The first mistake: a small item to hide, and no caution.
    ["materials", "3 cups one cannot see through\n1 button to hide"],
    ["cautions", "Cups that cannot break."],
    ["stop_rule", "At a stop sign: stop, no round is lost."],
    ["say", "Ready!"],
    ["help_levels", "point\nsay\nshow"],
    ["wait_seconds", "5"],
    ["help_rule", "Five rounds, no more. Wait five seconds before helping."],
    ["if_right", "A cheer, and the next round."],
    // The second mistake: no error correction.
    ["if_says_no", "The cups go away kindly."],
    ["difficulties", "The hider points to the cup: play once with the adult hiding\nWants only one role: one round each"],
    ["maintenance_weeks", "1, 2, 4, 8"],
  ]);
}

async function writeLadder(page: Page, keys: Keys): Promise<void> {
  await keys.to(field(page, ".label"), "Control+Enter"); // on to the first step
  await keys.text("U1");
  await keys.fill([
    [".name", "1 adult, 2 cups"],
    [".done_when", "All five actions of the round alone. Guessing the wrong cup is luck, not an error."],
    [".trials", "5"],
    [".minutes", "4"],
    [".criterion", criterion],
  ]);
  await keys.press("Escape", "ArrowDown", "ArrowDown"); // past “Add a step”
  await expect(page.getByRole("button", { name: "Add a series of steps" })).toBeFocused();
  await keys.to(page.locator("form.ladder input[type=radio]").first(), "Enter");
  await keys.press("ArrowUp", "ArrowUp", "ArrowUp");
  await expect(page.locator('input[value="people"]')).toBeChecked();
  await keys.press("Tab");
  await keys.text("1 adult, 3 cups\n2 adults\n1 child, adult beside\n2 children");
  await keys.to(page.getByRole("button", { name: "Add these steps" }), "Control+Enter");
  await keys.to(field(page, ".name"), "Enter");
  await expect(page.locator("li[data-step]")).toHaveText([/^U1\s+1 adult, 2 cups/, /^U2\s+1 adult, 3 cups/, /^U3\s+2 adults/, /^U4\s+1 child/, /^U5\s+2 children/]);
}

async function writeRoles(page: Page, keys: Keys): Promise<void> {
  await keys.press("Escape", "End");
  await keys.to(field(page, ".role"), "Enter"); // “Set up two roles”
  await keys.text("Finder");
  await keys.fill([
    [".actions", "turns away until “ready”; picks one cup; looks; shows or says “here” or “not here”; gives the cups back"],
    ["copy_as", "Hider"],
  ]);
  await keys.to(field(page, ".actions"), "Enter"); // the role with its five steps
  await keys.text("asks the others to turn away; hides it under one cup; says or signs “ready”; keeps hands and eyes still; shows where it was");
  await keys.fill([[".opens", "Finder U2"]]);
  await keys.tabTo(page.getByRole("button", { name: "Add a step that joins the roles" }));
  await keys.to(field(page, ".role"), "Enter");
  await keys.text("Both");
  await keys.tabTo(field(page, ".opens"));
  await keys.press("Control+A");
  await keys.text("Finder U4, Hider U4");
  await keys.to(field(page, ".name"), "Control+Enter"); // on to its first step
  await expect(field(page, ".label")).toHaveValue("U6");
  await keys.text("A group of 3 or 4, roles change each round");
  await keys.fill([[".done_when", "All actions of both roles alone."]]);
  await keys.tabTo(field(page, ".criterion"));
  await keys.press("Control+End");
  await keys.text(", across 2 days");
  await keys.to(field(page, ".name"), "Control+Enter"); // one more below
  await expect(field(page, ".label")).toHaveValue("U7");
  await keys.text("Another place, other things to hide");
  await keys.fill([[".done_when", "All actions of both roles alone."]]);
  await keys.tabTo(field(page, ".criterion"));
  await keys.press("Control+A");
  await keys.text("80% most of the time, across 2 places"); // the third mistake
}

async function mend(page: Page, keys: Keys): Promise<void> {
  const check = async (): Promise<void> => {
    await keys.press("Escape", "Home", "Shift+Tab");
    await keys.to(page.locator("#pane"), "Enter");
  };
  await check();
  const stops = page.locator(".stopping .saidlist li");
  await expect(stops).toHaveCount(1);
  await expect(stops).toContainText("most of the time");
  await keys.tabTo(stops.getByRole("link"));
  await keys.to(field(page, ".criterion"), "Enter");
  await keys.press("Control+A");
  await keys.text(criterion + ", across 2 places");
  await check();
  await expect(stops).toHaveCount(0);
  await expectAccessible(page);
  for (const fix of ["Add the usual sentence", "Add a caution about small parts"]) {
    const button = page.getByRole("button", { name: fix });
    await keys.tabTo(button);
    await keys.to(page.locator("#pane"), "Enter");
    await expect(button).toHaveCount(0);
  }
}

async function takeIn(page: Page, log: string, file: string): Promise<void> {
  await page.goto(/http:\S+\/setup\/\S+/.exec(log)?.[0] ?? "");
  for (const [label, text] of [
    ["Clinic name", "Harbour Lane Clinic"], ["Time zone", "Europe/Lisbon"], ["Your name", "Ines Caldeira"],
    ["Your email", "ines@harbour-lane.example"], ["New password", "kettle orbit meadow lantern"], ["Repeat the password", "kettle orbit meadow lantern"],
  ] as const) {
    await page.getByLabel(label).fill(text);
  }
  await page.getByRole("button", { name: "Set up and sign in" }).click();
  await page.goto("/programs/import");
  await page.locator("#f-file").setInputFiles({ name: "program.yaml", mimeType: "application/yaml", buffer: await readFile(file) });
  await page.getByRole("button", { name: "Import as a draft" }).click();
  await page.waitForURL(/\/draft/);
  await expect(page.locator("li[data-step]")).toHaveCount(12);
  await expect(page.locator(".rolehead small")).toHaveText(["open from the start", "opens after Finder U2", "opens after Finder U4, Hider U4"]);
}

async function revise(page: Page): Promise<void> {
  const program = page.url();
  await assign(page);
  await page.goto(program);
  await page.getByRole("button", { name: "Draft a revision" }).click();
  await page.getByLabel(/^After a correct response/).fill("A cheer, thanks, and the next round.");
  await page.getByRole("button", { name: "Check and publish" }).click();
  await page.getByLabel("Nothing in this program restrains").check();
  await page.getByRole("button", { name: "Publish as version 2" }).click();
  await expect(page.getByRole("heading", { name: "Version 2" })).toBeVisible();
  await page.goto(program + "/versions");
  await page.locator('a[href*="compare"]').first().click();
  await expect(page.locator(".changes ins")).toContainText("thanks");
  await page.goto(program + "/versions");
  await page.getByRole("link", { name: "Move" }).first().click();
  await page.getByLabel(/^Reason/).fill("Thanks belong to it.");
  await page.getByRole("button", { name: /version 2/i }).click();
  await page.goto(program + "/versions");
  await expect(page.locator(".part").filter({ hasText: "Version 2" }).locator(".versionlearners li").first()).toBeVisible();
}

/** Assigns the program to a learner of the invented clinic who has room for it. */
async function assign(page: Page): Promise<void> {
  await page.goto("/families");
  await page.locator('main a[href^="/learners/"]').first().click();
  await page.goto(page.url() + "/assign");
  await page.getByRole("radio", { name: title }).check();
  await page.getByRole("button", { name: "Assign" }).click();
  await expect(page.getByRole("link", { name: title }).first()).toBeVisible();
}
