import { execFileSync } from "node:child_process";
import { chmod, mkdtemp, rm } from "node:fs/promises";
import { mkdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { dataRoot, shareDemo } from "./demofolder";
import { gallery, root } from "./paths";

/** Writes the gallery once for all tests and prepares the shared demo. Assets must be built: make build. */
export default async function setup(): Promise<() => Promise<void>> {
  rmSync(gallery, { recursive: true, force: true });
  mkdirSync(gallery, { recursive: true });
  execFileSync("go", ["run", "./cmd/gallery", "-out", gallery], { cwd: root, stdio: "inherit" });
  const shared = await mkdtemp(join(await dataRoot(), "newel-e2e-run-"));
  await chmod(shared, 0o755); // the database's own user must be able to enter
  shareDemo(shared);
  return () => rm(shared, { recursive: true, force: true });
}
