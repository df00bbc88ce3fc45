import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Page, TestInfo } from "@playwright/test";
import { shots } from "./paths";

/** Keeps a picture of the whole page to be looked at, when SHOTS is set. Pictures are never compared by machine. */
export async function shot(page: Page, info: TestInfo, name: string): Promise<void> {
  if (!process.env["SHOTS"]) return;
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}-${info.project.name}.png`), fullPage: true });
}
