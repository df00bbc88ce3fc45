import { spawn, type ChildProcess } from "node:child_process";
import { existsSync } from "node:fs";
import { chmod, mkdtemp, rm } from "node:fs/promises";
import { createServer, type AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { root } from "./paths";

export interface NewelServer {
  url: string;
  /** What the program has written so far, for a test that failed. */
  log(): string;
  stop(): Promise<void>;
}

/** Starts bin/newel in a fresh folder, on an invented clinic or with nothing in it, and waits until it is ready. */
export async function startNewel(start: { demo: boolean }): Promise<NewelServer> {
  const binary = process.env["PLAYWRIGHT_NEWEL"] ?? join(root, "bin", "newel"); // another build of it, such as a release
  if (!existsSync(binary)) throw new Error("bin/newel is missing: run make build");
  const data = await mkdtemp(join(tmpdir(), "newel-e2e-"));
  await chmod(data, 0o755); // started by root, the database runs as somebody else, who has to get through
  const port = await freePort();
  const url = `http://localhost:${port}`;
  const child = spawn(binary, start.demo ? ["run", "--demo"] : ["run"], {
    cwd: root,
    env: { ...process.env, NEWEL_DATA_DIR: data, NEWEL_LISTEN: `127.0.0.1:${port}`, NEWEL_BASE_URL: url },
    stdio: ["ignore", "pipe", "pipe"],
  });
  let log = "";
  child.stdout.on("data", (chunk: Buffer) => (log += chunk.toString()));
  child.stderr.on("data", (chunk: Buffer) => (log += chunk.toString()));
  const stop = async (): Promise<void> => {
    await end(child);
    await rm(data, { recursive: true, force: true });
  };
  try {
    await ready(`http://127.0.0.1:${port}/readyz`, child, () => log);
  } catch (error) {
    await stop();
    throw error;
  }
  return { url, log: () => log, stop };
}

async function freePort(): Promise<number> {
  const probe = createServer();
  await new Promise<void>((done) => probe.listen(0, "127.0.0.1", done));
  const { port } = probe.address() as AddressInfo;
  await new Promise<void>((done) => probe.close(() => done()));
  return port;
}

/** Asks until the program answers or has ended; a first start makes its database and demonstration data. */
async function ready(url: string, child: ChildProcess, log: () => string): Promise<void> {
  for (let tries = 0; tries < 600; tries++) {
    if (child.exitCode !== null) throw new Error(`newel ended with ${child.exitCode}:\n${log()}`);
    const ok = await fetch(url).then((r) => r.ok, () => false);
    if (ok) return;
    await pause(100);
  }
  throw new Error(`newel was not ready within a minute:\n${log()}`);
}

async function end(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const gone = new Promise<void>((done) => child.once("exit", () => done()));
  child.kill("SIGTERM");
  await gone;
}
