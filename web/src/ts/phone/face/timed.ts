// What the faces of a count, of durations and of intervals have in common: a model that is stored with the session after
// each tap, a clock that is drawn, and what shows only in some states.
//
// In a section, data-foot is what takes the focus when the pressed element has gone.

import { announce, say } from "./base";
import type { RecordingDocument } from "../contract";
import type { Face, Fields, Session, Written } from "./face";
import { headerFields, measuredSaid } from "./said";
import { showWhen } from "./when";

const TICK = 200; // ms
const MINUTE = 60_000;
const MOST_UNDONE = 50; // taps
const SETTLE = 600; // ms in which a foot that has just changed ignores what was meant for the one before

/** What is stored with the session: what is known now, and what it was before each tap. */
export interface History<M> {
  now: M | undefined;
  past: (M | undefined)[];
}

/** Only those fields whose value is different from what the document has. */
export function changes(doc: RecordingDocument, fields: Fields): Fields {
  const out: Fields = {};
  (Object.keys(fields) as (keyof Fields)[]).forEach((name) => {
    const now = doc.header[name]?.value;
    if (JSON.stringify(now) !== JSON.stringify(fields[name])) Object.assign(out, { [name]: fields[name] });
  });
  return out;
}

/** Sets a text wherever the selector finds a place for it, and leaves the page alone if it says that already. */
export function put(root: HTMLElement, selector: string, text: string): void {
  root.querySelectorAll<HTMLElement>(selector).forEach((e) => {
    if (e.textContent !== text) e.textContent = text;
  });
}

/** A screen that stays on while a clock runs, where the browser can do that. */
class Awake {
  private lock: WakeLockSentinel | undefined;
  private wanted = false;

  keep(on: boolean): void {
    if (on === this.wanted && (this.lock?.released === false || !on)) return;
    this.wanted = on;
    if (!on) {
      void this.lock?.release().catch(() => undefined);
      this.lock = undefined;
    } else if ("wakeLock" in navigator && document.visibilityState === "visible") {
      void navigator.wakeLock.request("screen").then(
        (lock) => (this.wanted ? (this.lock = lock) : void lock.release()),
        () => undefined, // the battery is low, or it is not allowed
      );
    }
  }
}

/** A face that runs by the clock. M: what it keeps. */
export abstract class Timed<M> implements Face {
  private phase: string | undefined;
  private settling: number | undefined;
  private minute = -1;
  private busy = false;
  private readonly timer: number;
  private readonly awake = new Awake();

  constructor(
    protected readonly root: HTMLElement,
    protected readonly s: Session<History<M>>,
  ) {
    this.timer = window.setInterval(() => this.tick(), TICK);
    document.addEventListener("visibilitychange", this.seen);
  }

  protected get model(): M | undefined {
    return this.s.state?.now;
  }

  protected find<E extends HTMLElement = HTMLElement>(selector: string): E | null {
    return this.root.querySelector<E>(selector);
  }

  /** Which state the page shows. */
  protected abstract state(now: number): string;
  /** What is recorded by now; done: the session ends. */
  protected abstract fields(model: M | undefined, now: number, done: boolean): Fields;
  /** Fills the page in. */
  protected abstract fill(phase: string, now: number): void;
  /** How long a clock that can be seen has run, in ms; undefined while none runs. It is read out each minute. */
  protected abstract running(now: number): number | undefined;
  /** Called when the clock, and no tap, has changed the state. */
  protected onTime(_phase: string, _before: string): void {
    // Most states change by taps.
  }
  /** Whether the screen stays on. */
  protected wakeful(_phase: string): boolean {
    return false;
  }

  abstract progress(): ReturnType<Face["progress"]>;
  abstract written(): Written[];

  /** Finishing is always a decision: nothing is planned to be enough. */
  enough(): boolean {
    return false;
  }

  /** Calls fn for a press that can have been meant for what the page shows. */
  protected press(selector: string, fn: (e: HTMLElement) => Promise<void> | void, once = true): void {
    this.s.on(selector, (e) => (e.getAttribute("aria-disabled") === "true" ? undefined : fn(e)), once);
  }

  /** Whether the session is still open and not stopped: only then may the clock change anything. */
  protected get live(): boolean {
    return this.s.doc.closing === undefined && (this.s.doc.header.ended_early?.value ?? "") === "";
  }

  /** Stores what is known after a tap. Without undo, the tap cannot be taken back. */
  protected async move(model: M | undefined, undo = true): Promise<void> {
    const { now, past } = this.s.state ?? { now: undefined, past: [] };
    const state = { now: model, past: undo ? [...past, now].slice(-MOST_UNDONE) : past };
    await this.s.set(changes(this.s.doc, this.fields(model, Date.now(), false)), state);
  }

  async undo(): Promise<boolean> {
    const past = this.s.state?.past ?? [];
    if (past.length === 0) return false;
    const now = past[past.length - 1];
    await this.s.set(changes(this.s.doc, this.fields(now, Date.now(), false)), { now, past: past.slice(0, -1) });
    return true;
  }

  ending(): Fields {
    return changes(this.s.doc, this.fields(this.model, Date.now(), true));
  }

  /** What is recorded, or would be if the session ended now. */
  summary(): string {
    const { doc } = this.s;
    return measuredSaid({ ...headerFields(doc.header), ...(doc.closing ? {} : this.ending()) });
  }

  draw(): void {
    if (this.s.doc.closing) return;
    const now = Date.now();
    const phase = this.state(now);
    if (phase !== this.phase) this.turn(phase);
    this.fill(phase, now);
    this.awake.keep(this.live && this.wakeful(phase));
  }

  /** Whether what a press means has changed with the state, so that presses at that moment are ignored. */
  protected settles(_phase: string, _before: string | undefined): boolean {
    return true;
  }

  private turn(phase: string): void {
    const settles = this.settles(phase, this.phase);
    this.phase = phase;
    const focused = document.activeElement;
    showWhen(this.root, phase);
    const feet = Array.from(this.root.querySelectorAll<HTMLElement>("[data-foot]"));
    if (focused instanceof HTMLElement && this.root.contains(focused) && focused.closest("[hidden]")) feet.find((e) => !e.closest("[hidden]"))?.focus({ preventScroll: true });
    if (!settles) return;
    clearTimeout(this.settling);
    feet.forEach((e) => e.setAttribute("aria-disabled", "true"));
    this.settling = window.setTimeout(() => feet.forEach((e) => e.removeAttribute("aria-disabled")), SETTLE);
  }

  private tick(): void {
    if (!this.live || this.busy || this.phase === undefined) return;
    const now = Date.now();
    const before = this.phase, phase = this.state(now);
    this.draw();
    this.sayMinute(now);
    if (phase === before) return;
    this.onTime(phase, before);
    // The clock has changed what is recorded.
    this.busy = true;
    this.s.inTurn(async () => {
      this.busy = false;
      const fields = this.live ? this.ending() : {};
      if (Object.keys(fields).length > 0) await this.s.set(changes(this.s.doc, this.fields(this.model, Date.now(), false)));
    });
  }

  private sayMinute(now: number): void {
    const ran = this.running(now);
    const minute = ran === undefined ? 0 : Math.floor(ran / MINUTE);
    if (minute !== this.minute && this.minute >= 0 && minute > 0) announce(say("face.minutes", { n: minute }));
    this.minute = minute;
  }

  private readonly seen = (): void => {
    if (document.visibilityState === "visible") {
      this.woken();
      this.tick();
      return;
    }
    this.left();
    // What the clock has measured so far is kept, should the page never come back.
    if (this.live && this.running(Date.now()) !== undefined) this.s.inTurn(() => this.keepClock());
  };

  /** Called when the page can be seen again. */
  protected woken(): void {
    // Most faces show what the clock says.
  }

  /** Called when the page can no longer be seen. */
  protected left(): void {
    // Most faces keep nothing about that.
  }

  private async keepClock(): Promise<void> {
    const fields = changes(this.s.doc, this.fields(this.model, Date.now(), false));
    if (this.live && Object.keys(fields).length > 0) await this.s.set(fields);
  }

  dispose(): void {
    clearInterval(this.timer);
    clearTimeout(this.settling);
    document.removeEventListener("visibilitychange", this.seen);
    this.awake.keep(false);
  }
}
