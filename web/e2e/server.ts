import { spawn, type ChildProcess } from "node:child_process";
import { existsSync } from "node:fs";
import { chmod, mkdtemp, rm } from "node:fs/promises";
import { createServer, type AddressInfo } from "node:net";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { dataRoot, fillWithDemo } from "./demofolder";
import { root } from "./paths";

export interface NewelServer {
  url: string;
  /** Where its database listens: a folder that no one else can enter. */
  socket: string;
  /** The program's output so far, for a failed test. */
  log(): string;
  /** Stops the program and starts it again at the same address. */
  restart(): Promise<void>;
  stop(): Promise<void>;
}

/** Options for a start. */
interface Start {
  demo: boolean;
  /** Another process whose database to share. */
  beside?: NewelServer;
  /** More settings. */
  env?: Record<string, string>;
}

/** Starts bin/newel in a new folder, with an invented clinic or empty, and waits until it is ready. */
export async function startNewel(start: Start): Promise<NewelServer> {
  const binary = process.env["PLAYWRIGHT_NEWEL"] ?? join(root, "bin", "newel"); // a different build, such as a release
  if (!existsSync(binary)) throw new Error("bin/newel is missing: run make build");
  const data = await mkdtemp(join(await dataRoot(), "newel-e2e-"));
  await chmod(data, 0o755); // if started as root, the database runs as a different user, who must be able to enter
  const port = await freePort();
  const url = `http://localhost:${port}`;
  const database = (role: string): string => `postgres://${role}@/newel?host=${encodeURIComponent(start.beside?.socket ?? "")}&port=5432&sslmode=disable`;
  const shared = start.beside ? { DATABASE_URL: database("newel_app"), NEWEL_OWNER_URL: database("newel_owner") } : {};
  let log = "";
  const launch = async (folder = data): Promise<ChildProcess> => {
    const child = spawn(binary, start.demo ? ["run", "--demo"] : ["run"], {
      cwd: root,
      env: { ...process.env, NEWEL_DATA_DIR: folder, NEWEL_LISTEN: `127.0.0.1:${port}`, NEWEL_BASE_URL: url, ...shared, ...start.env },
      stdio: ["ignore", "pipe", "pipe"],
    });
    child.stdout.on("data", (chunk: Buffer) => (log += chunk.toString()));
    child.stderr.on("data", (chunk: Buffer) => (log += chunk.toString()));
    try {
      await ready(`http://127.0.0.1:${port}/readyz`, child, () => log);
    } catch (error) {
      await end(child);
      throw error;
    }
    return child;
  };
  const away = (): Promise<void> => rm(data, { recursive: true, force: true });
  const first = async (): Promise<ChildProcess> => {
    if (start.demo) await fillWithDemo(data, async (folder) => end(await launch(folder)));
    return launch();
  };
  let child = await first().catch(async (error: unknown) => {
    await away();
    throw error;
  });
  return {
    url,
    socket: join(data, "run"),
    log: () => log,
    restart: async () => {
      await end(child);
      child = await launch();
    },
    stop: async () => {
      await end(child);
      await away();
    },
  };
}

async function freePort(): Promise<number> {
  const probe = createServer();
  await new Promise<void>((done) => probe.listen(0, "127.0.0.1", done));
  const { port } = probe.address() as AddressInfo;
  await new Promise<void>((done) => probe.close(() => done()));
  return port;
}

/**
 * Polls until the program responds or has ended; a first start creates its database and demonstration data.
 */
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
