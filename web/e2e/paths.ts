import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));

/** The repository. */
export const root = join(here, "..", "..");
/** Where the gallery is written; ignored by git. */
export const gallery = join(here, "results", "gallery");
/** Where pictures are kept to be looked at; ignored by git. */
export const shots = join(here, "shots");
