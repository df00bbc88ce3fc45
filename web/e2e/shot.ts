import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Page, TestInfo } from "@playwright/test";
import { shots } from "./paths";

/** Takes a screenshot of the whole page to look at if SHOTS is set. No test compares screenshots. */
export async function shot(page: Page, info: TestInfo, name: string): Promise<void> {
  if (!process.env["SHOTS"]) return;
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}-${info.project.name}.png`), fullPage: true });
}
