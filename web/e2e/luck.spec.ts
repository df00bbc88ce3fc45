import { expect, type BrowserContext, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { beginDraft, field, Keys } from "./keys";
import { expectNoSidewaysScroll } from "./layout";
import { shot } from "./shot";

// The editor says how likely luck is to meet a criterion, while it is typed and before publishing, and one
// press replaces it with the nearest one that luck does not meet.

const lucky = "80% independent in 2 sessions in a row, 5 or more trials";
const sound = "80% independent in 3 sessions in a row, 6 or more trials";

async function openStep(page: Page, title: string): Promise<void> {
  await beginDraft(page, title);
  await page.locator("li[data-step] button").click();
  await expect(field(page, ".name")).toBeVisible();
}

const panel = (page: Page) => page.locator("[data-crit-panel] .luck");

test("luck is told while typing, opened to what it is based on, and mended in one press", async ({ be }, info) => {
  const page = await be("supervisor");
  await openStep(page, `Luck while typing, ${info.project.name}`);
  await field(page, ".trials").fill("5");
  await field(page, ".criterion").fill(lucky);
  await expect(panel(page)).toContainText("A child who is correct on 60% of trials would pass within 10 sessions 59 times in 100.");
  await panel(page).locator("summary").click();
  await expect(panel(page)).toContainText("20 points short of the goal");
  await expect(panel(page)).toContainText("Trials do not affect one another");
  const announced = page.locator("[data-crit-said]");
  await expect(announced).toHaveAttribute("role", "status");
  await expect(announced).toContainText("would pass within 10 sessions 59 times in 100.");
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await shot(page, info, "luck-lucky");

  // The list stays open while the criterion changes.
  await field(page, ".criterion").fill("100% independent in 3 sessions in a row");
  await field(page, ".trials").fill("10");
  await expect(panel(page)).toContainText("A child who is correct on 95% of trials would still be waiting after 10 sessions 30 times in 100.");
  await expect(panel(page).locator("details")).toHaveAttribute("open");

  await field(page, ".trials").fill("5");
  await field(page, ".criterion").fill(lucky);
  await page.getByRole("button", { name: `Plan 6 trials and use “${sound}”` }).click();
  await expect(field(page, ".criterion")).toBeFocused();
  await expect(field(page, ".criterion")).toHaveValue(sound);
  await expect(field(page, ".trials")).toHaveValue("6");
  await expect(panel(page)).toHaveClass(/calm/);
  await expect(panel(page)).toContainText("8 times in 100. A child who is correct on 90% would pass 99 times in 100.");
  await shot(page, info, "luck-sound");

  await page.locator("#drafthistory").getByRole("button", { name: "Undo" }).click();
  await expect(field(page, ".criterion")).toHaveValue(lucky);
  await expect(field(page, ".trials")).toHaveValue("5");
});

test("a goal with too few trials is explained, and the lower goal stays editable", async ({ be }, info) => {
  const page = await be("supervisor");
  await openStep(page, `Too few trials, ${info.project.name}`);
  await field(page, ".trials").fill("2");
  await field(page, ".criterion").fill("100% independent in 3 sessions in a row, 2 or more trials");
  await expect(panel(page)).toContainText("With 2 trials per session, this goal has no better window of up to 5 sessions");
  // The lower goal is compared with other children, and says so.
  await expect(panel(page)).toContainText("A child who is correct on 60% of trials would then pass 8 times in 100, and one who is correct on 90% 84 times.");
  await shot(page, info, "luck-too-few");
  await page.getByRole("button", { name: "Use “80% independent in 4 sessions in a row, 2 or more trials”" }).click();
  await expect(panel(page)).toHaveClass(/calm/);
  await field(page, ".criterion").press("Control+End");
  await page.keyboard.insertText(", across 2 days");
  await expect(page.locator("[data-saved]")).toContainText("Saved");
  await page.reload();
  await expect(field(page, ".criterion")).toHaveValue("80% independent in 4 sessions in a row, 2 or more trials, across 2 days");
});

test("before publishing, luck is a suggestion that the keyboard mends", async ({ be }, info) => {
  const page = await be("supervisor");
  await openStep(page, `Luck at publishing, ${info.project.name}`);
  await field(page, ".trials").fill("5");
  await field(page, ".criterion").fill(lucky);
  await expect(page.locator("[data-saved]")).toContainText("Saved");
  await page.getByRole("button", { name: "Check and publish" }).click();
  const said = page.locator(".saidlist > li").filter({ hasText: "59 times in 100" });
  await expect(said).toHaveCount(1);
  const keys = new Keys(page);
  await keys.tabTo(said.locator("summary"));
  await keys.press("Enter");
  await expect(said).toContainText("20 points short of the goal");
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await shot(page, info, "luck-publish");
  await keys.tabTo(said.getByRole("button", { name: "Use “80% independent in 4 sessions in a row, 5 or more trials”" }), "Shift+Tab");
  await keys.press("Enter");
  await expect(said).toHaveCount(0);
  await expect(page).toHaveURL(/pane=publish/);
});

test("without script, saving tells luck and the button mends it", async ({ browser, contextOptions, demo }, info) => {
  let context: BrowserContext | undefined;
  try {
    context = await browser.newContext({ ...contextOptions, javaScriptEnabled: false, baseURL: demo.server.url, storageState: await demo.state("supervisor") });
    const page = await context.newPage();
    await openStep(page, `Luck without script, ${info.project.name}`);
    await field(page, ".trials").fill("5");
    await field(page, ".criterion").fill(lucky);
    await page.getByRole("button", { name: "Update the form from the text" }).click();
    await expect(panel(page)).toContainText("59 times in 100");
    await page.getByRole("button", { name: `Plan 6 trials and use “${sound}”` }).click();
    await expect(field(page, ".criterion")).toHaveValue(sound);
    await expect(field(page, ".trials")).toHaveValue("6");
  } finally {
    await context?.close();
  }
});
