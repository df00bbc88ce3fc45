import { expect } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { Keys } from "./keys";
import { expectNoSidewaysScroll } from "./layout";
import { expectDrawnMarkup } from "./markup";
import { shot } from "./shot";

// A sentence about a placement opens to the rule behind it and the sessions that it is based on: on the
// caseload, on the page of the step, and on paper.

test("a sentence opens to its rule and its sessions, by keyboard and on paper", async ({ be }, info) => {
  const page = await be("supervisor");
  await page.goto("/caseload");
  const row = page.locator("article.row").filter({ has: page.locator(".finding") }).first();
  const told = row.locator(".finding").first();
  const sentence = await told.locator("summary").innerText();
  const name = ((await told.getAttribute("id")) ?? "").replace(/^row-[0-9a-f-]+-/, "");
  await expect(told.locator("p").first()).toBeHidden();
  await told.locator("summary").click();
  await expect(told.locator("p").first()).toBeVisible();
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await expectDrawnMarkup(page);
  await shot(page, info, "finding-caseload");

  await row.getByRole("heading").getByRole("link").first().click();
  await page.waitForURL("**/placements/*");
  const finding = page.locator(`#${name}`);
  await expect(finding.locator("summary")).toHaveText(sentence);
  const day = finding.locator("li a").first();
  await expect(day).toBeHidden();
  const keys = new Keys(page);
  await keys.tabTo(finding.locator("summary"));
  await keys.press("Enter");
  await expect(finding.locator("p").first()).toContainText(/\.$/);
  await expect(day).toBeVisible();
  expect(await finding.locator("li").count()).toBeGreaterThan(1);
  for (const line of await finding.locator("li").allInnerTexts()) expect(line).toMatch(/\d/);
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await expectDrawnMarkup(page);
  await shot(page, info, "finding-progress");

  await keys.press("Enter");
  await expect(day).toBeHidden();
  await page.emulateMedia({ media: "print" });
  await expect(day).toBeVisible();
  await page.emulateMedia({ media: "screen" });

  await keys.press("Enter");
  await keys.tabTo(day);
  await keys.press("Enter");
  await page.waitForURL("**/recordings/*");
});
