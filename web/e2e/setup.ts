import { execFileSync } from "node:child_process";
import { mkdirSync, rmSync } from "node:fs";
import { gallery, root } from "./paths";

/** Writes the gallery once for all tests. Assets must have been built: make build. */
export default function setup(): void {
  rmSync(gallery, { recursive: true, force: true });
  mkdirSync(gallery, { recursive: true });
  execFileSync("go", ["run", "./cmd/gallery", "-out", gallery], { cwd: root, stdio: "inherit" });
}
