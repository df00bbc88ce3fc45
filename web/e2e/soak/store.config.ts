import { defineConfig } from "@playwright/test";
import soak from "./soak.config";

/** Not part of make test: it tries the browser and not Newel. */
export default defineConfig({ ...soak, testMatch: "store.spec.ts", outputDir: "../results/store" });
