import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import type { AxeResults, RunOptions } from "axe-core";

const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// WCAG 2.2 AA and what it rests on; advice beyond the standard ("best practice") is left to our own eyes.
const options: RunOptions = {
  resultTypes: ["violations"], // the rest is not worked out in detail, which takes longer than the rules
  runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] },
  rules: { "target-size": { enabled: true } },
};

/** Fails when axe finds anything on the page, and says what and where. */
export async function expectAccessible(page: Page): Promise<void> {
  // Injected by the test and not by a script element: the page's policy would refuse that, rightly.
  await page.evaluate(source);
  const results = await page.evaluate(
    (o) => (window as unknown as { axe: { run(c: Document, o: unknown): Promise<unknown> } }).axe.run(document, o),
    options,
  );
  const found = (results as AxeResults).violations.map((v) => ({
    rule: v.id,
    help: v.help,
    at: v.nodes.map((n) => `${n.target.join(" ")}: ${n.failureSummary ?? ""}`),
  }));
  expect(found).toEqual([]);
}
