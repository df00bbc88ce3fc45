import { defineConfig } from "@playwright/test";
import soak from "./soak.config";

/** Not part of make test: it tests the browser rather than Newel. */
export default defineConfig({ ...soak, testMatch: "store.spec.ts", outputDir: "../results/store" });
