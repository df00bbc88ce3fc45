import { expect, type Page } from "@playwright/test";

/** Fails when the page scrolls sideways, and names what sticks out. */
export async function expectNoSidewaysScroll(page: Page): Promise<void> {
  const out = await page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= width) return [];
    return Array.from(document.querySelectorAll("body *"))
      .filter((e) => {
        const box = e.getBoundingClientRect();
        return (box.right > width + 0.5 || box.left < -0.5) && !e.closest(".scroll, .skip");
      })
      .map((e) => `${e.tagName} ${e.getAttribute("class") ?? ""} ${e.textContent?.trim().slice(0, 40) ?? ""}`);
  });
  expect(out).toEqual([]);
}

/** Fails if a control is smaller than this in either direction. Links in running text are exempt. */
export async function expectTargets(page: Page, least: number): Promise<void> {
  const small = await page.evaluate((px) => {
    const inText = (e: Element) => e.tagName === "A" && getComputedStyle(e).display === "inline";
    return Array.from(document.querySelectorAll("a, button, select, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), textarea, label.choice, summary"))
      .filter((e) => !e.classList.contains("skip") && !inText(e))
      .map((e) => ({ e, box: e.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0 && (box.height < px - 0.5 || box.width < px - 0.5))
      .map(({ e, box }) => `${e.tagName} ${e.textContent?.trim() ?? ""}: ${box.width} × ${box.height}`);
  }, least);
  expect(small).toEqual([]);
}
