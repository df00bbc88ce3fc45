import { spawn, type ChildProcess } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium, type Browser, type Page } from "@playwright/test";
import { chromiumWhole } from "./paths";

/** A phone with persistent storage whose browser can be killed as a phone kills it. */
export class Handset {
  private child: ChildProcess | undefined;
  private browser: Browser | undefined;

  /** The browser's complaints about its storage. */
  readonly complaints: string[] = [];

  /** How often it reported finding its databases damaged and deleting them. */
  get thrownAway(): number {
    return this.complaints.filter((line) => line.includes("recovering from a corrupted")).length;
  }

  private constructor(readonly folder: string) {}

  static async made(): Promise<Handset> {
    const h = new Handset(await mkdtemp(join(tmpdir(), "newel-handset-")));
    await h.on();
    return h;
  }

  /** Starts the browser. */
  async on(): Promise<void> {
    const child = spawn(
      chromiumWhole,
      ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync", "--lang=en-GB", "--enable-logging=stderr", "--remote-debugging-port=0", `--user-data-dir=${this.folder}`, "about:blank"],
      { stdio: ["ignore", "ignore", "pipe"], detached: true },
    );
    this.child = child;
    const address = await new Promise<string>((done, failed) => {
      let said = "";
      child.stderr?.on("data", (chunk: Buffer) => {
        said += chunk.toString();
        for (const line of chunk.toString().split("\n")) {
          if (/indexed|leveldb|corrupt|quota|storage|sqlite/i.test(line)) this.complaints.push(`${new Date().toISOString().slice(11, 23)} ${line}`);
        }
        const found = /ws:\/\/\S+/.exec(said);
        if (found) done(found[0]);
      });
      child.once("exit", () => failed(new Error("the browser ended:\n" + said)));
    });
    this.browser = await chromium.connectOverCDP(address);
  }

  /** A page of 320 by 568. */
  async page(): Promise<Page> {
    const context = this.browser?.contexts()[0];
    if (!context) throw new Error("the browser is off");
    const page = await context.newPage();
    await page.setViewportSize({ width: 320, height: 568 });
    return page;
  }

  /** Kills the browser with all its processes: no event fires, and nothing is cleaned up. */
  async kill(): Promise<void> {
    const child = this.child;
    if (!child?.pid || child.exitCode !== null) return;
    const gone = new Promise<void>((done) => child.once("exit", () => done()));
    process.kill(-child.pid, "SIGKILL");
    await gone;
  }

  async end(): Promise<void> {
    await this.kill();
    await rm(this.folder, { recursive: true, force: true, maxRetries: 5 });
  }
}
