import { execFile } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { mkdir, rmdir, statfs, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { promisify } from "node:util";

const run = promisify(execFile);

/** The folder that globalSetup creates for a run; unset for configurations without one. */
const RUN = "NEWEL_E2E_RUN";
const ROOM = 4 * 2 ** 30; // bytes: each server's folder takes up to 100 MB, so memory needs room for many

/** Where servers store their data: in memory if there is plenty, otherwise with temporary files. */
export async function dataRoot(): Promise<string> {
  try {
    const memory = await statfs("/dev/shm");
    if (memory.bavail * memory.bsize > ROOM) return "/dev/shm";
  } catch {
    // Not Linux.
  }
  return tmpdir();
}

/** Tells the workers of this run where to share the demo's data folder. */
export function shareDemo(folder: string): void {
  process.env[RUN] = folder;
}

/** Whether a worker of this run has said that a text has no faults. */
export function knownSound(text: string): boolean {
  const mark = soundMark(text);
  return mark !== undefined && existsSync(mark);
}

/** Tells the workers of this run that a text has no faults. */
export async function markSound(text: string): Promise<void> {
  const mark = soundMark(text);
  if (mark !== undefined) await writeFile(mark, "");
}

function soundMark(text: string): string | undefined {
  const shared = process.env[RUN];
  return shared && join(shared, "sound-" + createHash("sha256").update(text).digest("hex"));
}

/**
 * Fills data with the invented clinic. Creating the clinic takes several seconds of processor time, so the
 * first worker that needs it creates it, with make, and every server starts with a copy.
 */
export async function fillWithDemo(data: string, make: (folder: string) => Promise<void>): Promise<void> {
  const shared = process.env[RUN];
  if (!shared) return;
  const [made, ready, making] = ["demo", "ready", "making"].map((name) => join(shared, name)) as [string, string, string];
  while (!existsSync(ready)) {
    const mine = await mkdir(making).then(() => true, () => false);
    if (!mine) {
      await pause(50);
      continue;
    }
    try {
      if (existsSync(ready)) break;
      await mkdir(made, { mode: 0o755 });
      await make(made);
      await writeFile(ready, "");
    } finally {
      await rmdir(making);
    }
  }
  await run("cp", ["-a", `${made}/.`, data]); // preserves the owner: the database refuses to run as root
}
