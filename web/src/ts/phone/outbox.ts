// The outbox: one uploader on this phone for any number of tabs. It sends when a page opens, when the network
// or the page comes back, on a tap, and otherwise at growing, random intervals until everything is stored.
// Every page shows how much is not.

import { withTabLock } from "./tablock";
import type { Keep } from "./keep";
import { othersText, sealedPending } from "./lock";
import type { Waiting } from "./lock";
import { flush, countPending } from "./send";
import type { Pending } from "./send";
import { sendTalks } from "./talks";
import { say } from "./words";

const FIRST = 1_000; // ms; the widest first interval
const LAST = 300_000;
const LONG = 3 * 24 * 3_600_000; // ms; some browsers clear storage after seven days without use
const FLAP = 1_000; // ms; a flapping network must not cause a storm of requests

/**
 * How long to wait before the nth attempt in a row, in ms: a random time up to a bound that doubles, so that
 * phones do not all return at the same moment after an outage. Never earlier than the server asks.
 */
export function pause(n: number, after: number, random: number): number {
  return Math.max(after, random * Math.min(LAST, FIRST * 2 ** Math.min(n, 20)));
}

/** The text of the outbox line. */
export function outboxText(w: Pending, others: Waiting, refused = false): string {
  const parts: string[] = [];
  if (refused) parts.push(say("phone.refused"));
  if (w.pending > 0) parts.push(say("outbox.waiting", { n: w.pending }));
  if (w.letters > 0) parts.push(say("outbox.letters", { n: w.letters }));
  if (w.pending + w.letters > 0 && w.signIn) parts.push(say("outbox.sign_in"));
  if (w.pending + w.letters > 0 && w.portal) parts.push(say("phone.portal"));
  if (w.pending > 0 && w.oldest > 0 && Date.now() - w.oldest > LONG) parts.push(say("phone.waits_long"));
  if (w.attention > 0) parts.push(say("outbox.attention", { n: w.attention }));
  if (w.letterTrouble > 0) parts.push(say("outbox.letter_trouble", { n: w.letterTrouble }));
  if (w.quarantined > 0) parts.push(say("outbox.held", { n: w.quarantined }));
  parts.push(othersText(others));
  return parts.filter((p) => p !== "").join(" ");
}

/** How much is to be sent. */
const total = (w: Pending): number => w.pending + w.letters;

export class Outbox {
  private attempts = 0;
  private timer: number | undefined;
  private busy = false;
  private again = false;
  private stopped = false;
  private began = 0;
  private shown = 0;
  private lastFailure: Pick<Pending, "signIn" | "portal"> = { signIn: false, portal: false }; // by the last attempt
  private readonly undo: (() => void)[] = [];
  /** Whether the server has said that this account's access was changed. */
  refused = false;
  /** Whether this person's PIN is due, which the page asks for. */
  pinDue = false;
  /** Called when something was stored or recorded. */
  onStored: (() => void) | undefined;

  constructor(readonly keep: Keep) {}

  start(): void {
    const online = (): void => this.soon();
    const seen = (): void => {
      if (document.visibilityState === "visible") this.soon();
    };
    window.addEventListener("online", online);
    document.addEventListener("visibilitychange", seen);
    this.undo.push(() => window.removeEventListener("online", online), () => document.removeEventListener("visibilitychange", seen));
    void this.show();
    this.now();
  }

  /** Stops it: the account leaves this page. */
  stop(): void {
    this.stopped = true;
    clearTimeout(this.timer);
    this.undo.forEach((fn) => fn());
  }

  /** Sends at once and resets the interval. */
  now(): void {
    this.attempts = 0;
    void this.attempt();
  }

  private soon(): void {
    if (Date.now() - this.began > FLAP) this.now();
  }

  /** Shows what is pending, as stored now. */
  async show(known?: Pending): Promise<void> {
    const line = document.getElementById("outbox");
    if (!line) return;
    line.dataset.account = this.keep.account;
    if (known) this.lastFailure = { signIn: known.signIn, portal: known.portal };
    const turn = ++this.shown;
    const w = { ...(known ?? (await countPending(this.keep))), ...this.lastFailure };
    if (this.pinDue) w.signIn = false;
    const text = outboxText(w, await sealedPending(this.keep.account), this.refused);
    if (this.stopped || turn !== this.shown) return; // superseded by a later call
    if (text !== "") {
      line.textContent = text;
      line.hidden = false;
    } else if (!line.hidden) line.textContent = say("outbox.stored");
  }

  private async attempt(): Promise<void> {
    clearTimeout(this.timer);
    if (this.stopped) return;
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    this.began = Date.now();
    const left = await this.round();
    this.busy = false;
    if (this.again) {
      this.again = false;
      return this.attempt();
    }
    if (this.stopped || left === "done" || left === "wait") return;
    this.timer = window.setTimeout(() => void this.attempt(), pause(this.attempts++, left, Math.random()));
  }

  /**
   * One attempt. "done": nothing is left; "wait": a person has to act; otherwise the ms to leave the server
   * alone.
   */
  private async round(): Promise<"done" | "wait" | number> {
    try {
      const before = total(await countPending(this.keep));
      const left = await withTabLock("newel-outbox", () => this.sendEverything());
      if (!left) return 0; // another tab is sending; look again
      await this.show(left);
      if (total(left) < before) this.onStored?.();
      if (left.signIn) return "wait";
      return total(left) === 0 && !left.offline && !(await this.hasUnsentTalks()) ? "done" : left.after;
    } catch {
      return 0; // the phone's storage was taken away; the next attempt reopens it
    }
  }

  private async sendEverything(): Promise<Pending> {
    let left = await flush(this.keep);
    if (left.pending > 0) return left;
    if (await sendTalks(this.keep)) this.onStored?.();
    const later = await import("./later/recheck").catch(() => undefined);
    await later?.recheckLetters(this.keep);
    if (((await later?.recheck(this.keep)) ?? 0) > 0) left = await flush(this.keep);
    return left;
  }

  private async hasUnsentTalks(): Promise<boolean> {
    const { talks, reads } = await this.keep.notes();
    return [...talks, ...reads].some((t) => t.noted === undefined);
  }
}
