import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import type { AxeResults, RunOptions } from "axe-core";

const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// WCAG 2.2 AA and what it builds on; people judge advice beyond the standard ("best practice").
const options: RunOptions = {
  resultTypes: ["violations"], // the rest is not detailed, which takes longer than the rules
  runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] },
  rules: { "target-size": { enabled: true } },
};

/** Fails when axe finds anything on the page, and says what and where. */
export async function expectAccessible(page: Page): Promise<void> {
  // Injected by the test rather than as a script element, which the page's policy would rightly refuse. Once
  // for each document: it is half a megabyte.
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(source);
  const found = await page.evaluate(async (o) => {
    const { axe } = window as unknown as { axe: { run(c: Document, o: RunOptions): Promise<AxeResults> } };
    const { violations } = await axe.run(document, o); // the rest stays in the page: it is many times as long
    return violations.map((v) => ({ rule: v.id, help: v.help, at: v.nodes.map((n) => `${n.target.join(" ")}: ${n.failureSummary ?? ""}`) }));
  }, options);
  expect(found).toEqual([]);
}
