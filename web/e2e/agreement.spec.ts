import { expect, type Locator, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { expectNoSidewaysScroll } from "./layout";
import { shot } from "./shot";

// Wren's bag was packed with a second observer on one day, who missed one tap. On another day her father
// entered a session again from memory.

const agreed = "Orla and Cian agree on 7 of 8 trials (87.5%). 1 trial was recorded only by Orla.";
const memory = "Cian recorded this session afterwards, from memory. That is not an observation, so there is no agreement to show.";

/** Opens the page of the step on which Wren packs her bag. */
async function packing(page: Page): Promise<void> {
  await page.goto("/programs");
  await page.getByRole("link", { name: "Packing the swimming bag" }).first().click();
  await page.locator('main a[href^="/placements/"]', { hasText: "Wren" }).first().click();
  await page.locator("section[aria-labelledby=agreement]").waitFor();
}

/** The rows of the open table, as text. */
async function opened(part: Locator): Promise<string[]> {
  const details = part.locator("details.table").filter({ hasText: "The trials side by side" });
  await expect(details.locator("table")).toBeHidden();
  await details.locator("summary").click();
  await expect(details.locator("table")).toBeVisible();
  return details.locator("tbody tr").allInnerTexts();
}

test("agreement says what two people recorded alike, and opens to the trials", async ({ be }, info) => {
  const page = await be("supervisor");
  await packing(page);
  const part = page.locator("section[aria-labelledby=agreement]");
  await expect(part).toContainText("Second observer: 1 of 12 sessions on this step (8.3%).");
  await expect(part.locator("li").first()).toContainText(agreed);
  await expect(part.locator("li").nth(1)).toContainText(memory);
  const rows = await opened(part);
  expect(rows).toHaveLength(8);
  expect(rows[2]).toMatch(/not recorded\s+disagree/);
  for (const [n, row] of rows.entries()) if (n !== 2) expect(row).toMatch(/\d:\d\d:\d\d.*\d:\d\d:\d\d\s+agree/s);
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await shot(page, info, "agreement-step");

  await part.locator("li").first().locator("a").click();
  const twin = page.locator("section[aria-labelledby=twin]");
  await expect(twin).toContainText(agreed);
  expect(await opened(twin)).toEqual(rows);
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await shot(page, info, "agreement-session");
});

test("a record from memory gets a sentence instead of a percentage", async ({ be }, info) => {
  const page = await be("supervisor");
  await packing(page);
  await page.locator("section[aria-labelledby=agreement] li").nth(1).locator("a").click();
  const twin = page.locator("section[aria-labelledby=twin]");
  await expect(twin).toContainText(memory);
  await expect(twin).not.toContainText("%");
  await expect(twin.locator("table")).toHaveCount(0);
  await twin.scrollIntoViewIfNeeded();
  await shot(page, info, "agreement-memory");
});
