import { defineConfig } from "@playwright/test";
import usual from "../playwright.config";

/** Not part of make test: times are meaningful only on an otherwise idle machine. */
export default defineConfig({ ...(usual.use ? { use: usual.use } : {}), testDir: ".", testMatch: "*bench.spec.ts", outputDir: "../results/bench", workers: 1, retries: 0, reporter: [["list"]], timeout: 180_000 });
