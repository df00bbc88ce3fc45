import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));

/** The repository. */
export const root = join(here, "..", "..");
/** Where the gallery is written; ignored by git. */
export const gallery = join(here, "results", "gallery");
/** Where screenshots go; ignored by git. */
export const shots = join(here, "shots");

const named = process.env["PLAYWRIGHT_CHROMIUM"];
/** The full browser, for tests of what a killed browser preserves. */
export const chromiumWhole = named ?? "/usr/bin/chromium";
const shell = "/usr/bin/chromium-headless-shell";
/** The same engine without its window, for everything else: a test takes half the processor time. */
export const chromiumQuick = named ?? (existsSync(shell) ? shell : chromiumWhole);
