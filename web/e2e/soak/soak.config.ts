import { defineConfig } from "@playwright/test";
import usual from "../playwright.config";

// Every process of the run reads the same seed.
process.env["SOAK_SEED"] ??= String(Date.now() % 1_000_000);

/** Not part of make test: hours of one phone whose browser is killed and whose connection is cut. */
export default defineConfig({ ...(usual.use ? { use: usual.use } : {}), testDir: ".", testMatch: "soak.spec.ts", outputDir: "../results/soak", workers: 1, retries: 0, reporter: [["list"]], timeout: 0, expect: { timeout: 20_000 } });
