import { defineConfig } from "@playwright/test";
import usual from "../playwright.config";

/** Not part of make test: it needs Java. */
export default defineConfig({ ...(usual.use ? { use: usual.use } : {}), testDir: ".", testMatch: "nu.spec.ts", outputDir: "../results/nu", workers: 1, retries: 0, reporter: [["list"]], timeout: 0 });
