// The line on every caregiver page that says what waits on this phone, and the sending of it: when a page opens, when
// the network or the page comes back, and in growing intervals until everything is stored.

import { Keep } from "./keep";
import { flush } from "./send";
import type { Waiting } from "./send";

const FIRST = 10_000; // ms until the next attempt
const LAST = 300_000;

interface Locks {
  request<T>(name: string, options: { ifAvailable: boolean }, fn: (lock: unknown) => Promise<T>): Promise<T>;
}

/** Runs fn unless another tab is at it. */
async function alone<T>(name: string, fn: () => Promise<T>): Promise<T | undefined> {
  const locks = (navigator as unknown as { locks?: Locks }).locks;
  if (!locks) return fn(); // sending twice is harmless, only wasteful
  return locks.request(name, { ifAvailable: true }, (lock) => (lock ? fn() : Promise.resolve(undefined)));
}

function say(line: HTMLElement, w: Waiting): void {
  const words = line.dataset;
  const parts: string[] = [];
  if (w.waiting === 1) parts.push(words.one ?? "");
  if (w.waiting > 1) parts.push((words.many ?? "").replace("{n}", String(w.waiting)));
  if (w.signIn) parts.push(words.signIn ?? "");
  if (w.attention > 0) parts.push((words.attention ?? "").replace("{n}", String(w.attention)));
  const text = parts.join(" ");
  if (text === "" && !line.hidden) line.textContent = words.stored ?? "";
  if (text !== "") line.textContent = text;
  if (text !== "") line.hidden = false;
}

export class Outbox {
  private delay = FIRST;
  private timer: number | undefined;

  constructor(
    private readonly line: HTMLElement,
    readonly keep: Keep,
  ) {}

  start(): void {
    window.addEventListener("online", () => this.now());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.now();
    });
    this.now();
  }

  /** Sends at once and starts counting anew. */
  now(): void {
    this.delay = FIRST;
    void this.attempt();
  }

  private async attempt(): Promise<void> {
    clearTimeout(this.timer);
    let left: Waiting | undefined;
    try {
      left = await alone("newel-outbox", () => flush(this.keep));
    } catch {
      left = undefined; // the phone's storage was taken away; the next attempt opens it anew
    }
    if (left) say(this.line, left);
    if (left && left.waiting === 0) return;
    // Not all phones at the same moment after the server was away.
    this.timer = window.setTimeout(() => void this.attempt(), this.delay * (0.5 + Math.random() / 2));
    this.delay = Math.min(LAST, this.delay * 2);
  }
}

/** Starts the outbox of a page that has one. */
export async function startOutbox(): Promise<Outbox | undefined> {
  const line = document.getElementById("outbox");
  const account = line?.dataset.account;
  if (!line || !account) return undefined;
  const keep = new Keep(account);
  await keep.ready();
  const outbox = new Outbox(line, keep);
  outbox.start();
  return outbox;
}
