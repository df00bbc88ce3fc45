import { expect, type BrowserContext, type Locator, type Page } from "@playwright/test";
import type { Who } from "./demo";
import { test as phoneTest } from "./phone";

// Shared by the stories: desks of supervisors, and whole sessions entered on a phone afterward.

export const test = phoneTest.extend<{ desk: Page; atDesk: (who: Who, url?: string) => Promise<Page> }>({
  /** A member of the clinic on a laptop; url: of a different process. */
  atDesk: async ({ browser, contextOptions, demo }, use) => {
    const open: BrowserContext[] = [];
    await use(async (who, url = demo.server.url) => {
      const context = await browser.newContext({ ...contextOptions, viewport: { width: 1280, height: 800 }, baseURL: url, storageState: await demo.state(who) });
      open.push(context);
      return context.newPage();
    });
    for (const context of open) await context.close();
  },
  desk: async ({ atDesk }, use) => use(await atDesk("supervisor")),
});

/** A caseload row that needs a decision. */
export const row = (desk: Page, learner: string, program: string): Locator =>
  desk.locator("article.row").filter({ has: desk.getByRole("heading", { name: learner, exact: true }) }).filter({ hasText: program });

/** The caseload group that contains such a row. */
export const asksIn = (desk: Page, name: string): Locator => desk.getByRole("region", { name });

/** Lifts the pause after a child's no in one of the learner's programs, from the caseload. */
export async function lift(desk: Page, learner: string, line: string, program = ""): Promise<void> {
  await desk.goto("/caseload");
  await row(desk, learner, program).getByRole("link", { name: "Lift the pause" }).first().click();
  await desk.getByLabel("What was agreed").fill(line);
  await desk.getByRole("button", { name: "Lift the pause" }).click();
  await expect(desk.locator("#lift-form")).toHaveCount(0);
}

/** Goes to a learner's placement in a program, whether or not the row needs a decision. */
export async function placement(desk: Page, learner: string, program: string): Promise<void> {
  await desk.goto("/caseload");
  const any = row(desk, learner, program).or(desk.locator("#quiet tr").filter({ hasText: program }));
  await any.getByRole("link", { name: learner, exact: true }).click();
  await desk.waitForURL("**/placements/*");
}

/** Records a decision with its reason, on the page of a placement. */
export async function decide(desk: Page, kind: string, reason: string): Promise<void> {
  await desk.getByRole("radio", { name: kind, exact: true }).check();
  await desk.getByLabel(/^Reason/).fill(reason);
  await desk.getByRole("button", { name: "Record the decision" }).click();
  await expect(desk.locator("#decisions, [aria-labelledby=decisions]").first()).toContainText(reason);
}

/** The address for recording a program on this phone, whether it is next or folded. */
export async function recorder(page: Page, program: string): Promise<string> {
  const at = new URL(page.url());
  if (at.pathname + at.hash !== "/today") await page.goto("/today");
  const link = page.locator(".next", { hasText: program }).locator('a[href^="/teach/"]').or(page.locator('.fold a[href^="/teach/"]', { hasText: program }));
  return ((await link.first().getAttribute("href")) ?? "").replace("/teach/", "/record/");
}

/** Trials of a session, by the text of their rows. */
export type Tries = Partial<Record<"Without help" | "Not yet" | "Said no", number>>;

/**
 * Enters a session held earlier, and waits until the page says that it is stored: at the clinic if there is
 * signal.
 */
export async function entered(page: Page, program: string, tries: Tries, kept: string | RegExp = "Saved at your clinic."): Promise<void> {
  await page.goto(await recorder(page, program));
  await page.locator(".unusual summary").click();
  await page.locator(".chip", { has: page.locator('input[value="afterwards"]') }).click();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator("[data-several-add]")).toBeVisible();
  for (const [words, times] of Object.entries(tries)) {
    const more = page.locator(".severalrow", { hasText: words }).locator('[data-plus="1"]');
    for (let n = 0; n < times; n++) await more.click();
  }
  await page.locator("[data-several-add]").click();
  const finish = page.locator('[data-part="enough"] [data-finish]');
  await expect(finish).toBeVisible();
  await finish.click();
  await expect(page.locator('[data-part="done"] [data-kept]')).toHaveText(kept);
  await page.locator('[data-part="done"] [data-leave]').click();
  await expect(page.locator(".day").first()).toBeVisible();
}
