// The recorder. The page brings every part and word; this moves between the parts, keeps each tap on the phone before
// showing it, and sends the whole document now and then.

import type { Answer as TrialAnswer, Kit, RecordingDocument } from "./contract";
import { answered, begin, closed, closedWhere, lastMoment, standing, undone, withField } from "./document";
import { kept } from "./keep";
import type { Keep, Kept, Stopped } from "./keep";
import type { Outbox } from "./outbox";
import { STOP_UNDO, isStored, send } from "./send";
import { measured } from "./measured";

const SEND_EVERY = 10_000; // ms; never for each tap
const SAVE_TRIES = 3;
const SAVE_PAUSE = 300; // ms
const RESUME_WITHIN = 12 * 3_600_000; // ms
const KIT_HASH = "Newel-Kit-Hash";

type Part = "intro" | "before" | "rail" | "count" | "enough" | "stopped" | "done";

// Each answer feels different in the hand.
const BUZZ: Record<string, number[]> = { alone: [35], help: [20, 50, 20], not_yet: [90], no_response: [15], declined: [20, 40, 20, 40, 20], no_chance: [10], undo: [60, 60, 60], stop: [150] };

function buzz(kind: string): void {
  if ("vibrate" in navigator) navigator.vibrate(BUZZ[kind] ?? [20]);
}

/** Puts children in place of what was there. (replaceChildren is younger than the oldest phones.) */
function fill(e: HTMLElement, children: Node[]): void {
  e.textContent = "";
  children.forEach((child) => e.appendChild(child));
}

/** Milliseconds since the session began, on a clock that never jumps. */
class Clock {
  private readonly zero = performance.now();

  constructor(
    private readonly base = 0,
    /** Whether it has run since the very start, without the page having been closed. */
    readonly unbroken = true,
  ) {}

  now(): number {
    return Math.max(0, Math.round(this.base + performance.now() - this.zero));
  }
}

class Recorder {
  private doc: RecordingDocument | undefined;
  private clock = new Clock();
  private stopped: Stopped | undefined;
  private plan: number;
  private dirty = false;
  private work: Promise<void> = Promise.resolve();

  constructor(
    private readonly root: HTMLElement,
    private readonly outbox: Outbox,
    private readonly keep: Keep,
    private readonly kit: Kit,
    private readonly kitHash: string,
    private readonly device: string,
  ) {
    this.plan = Number(root.dataset.plan) || 5;
  }

  // The page.

  private find<E extends HTMLElement>(selector: string): E | null {
    return this.root.querySelector<E>(selector);
  }

  private each(selector: string, fn: (e: HTMLElement) => void): void {
    this.root.querySelectorAll<HTMLElement>(selector).forEach(fn);
  }

  private on(selector: string, fn: (e: HTMLElement) => Promise<void> | void): void {
    this.each(selector, (e) => {
      e.addEventListener("click", () => this.then(() => fn(e)));
    });
  }

  /** Everything happens in turn: a tap is finished before the next one begins. */
  private then(fn: () => Promise<void> | void): void {
    this.work = this.work.then(fn).catch(() => this.word("notSaved"));
  }

  private show(part: Part): void {
    this.each("[data-part]", (e) => (e.hidden = !(e.dataset.part ?? "").split(" ").includes(part)));
    document.body.classList.toggle("recording", part === "rail");
    window.scrollTo(0, 0);
  }

  private text(key: string, values: Record<string, number> = {}): string {
    const lang = document.documentElement.lang || "en";
    return (this.root.dataset[key] ?? "").replace(/\{(\w+)\}/g, (all, name: string) => {
      const n = values[name];
      return n === undefined ? all : n.toLocaleString(lang);
    });
  }

  /** Says something to whoever listens, and where it is kept. */
  private word(key: string, values: Record<string, number> = {}): void {
    const said = document.getElementById("recorder-said");
    if (said) said.textContent = this.text(key, values);
    if (key === "notSaved") this.each("[data-kept]", (e) => (e.textContent = this.text(key)));
  }

  // Before.

  async start(): Promise<void> {
    const form = this.find<HTMLFormElement>("[data-before]");
    form?.querySelectorAll<HTMLInputElement>('input[name="by"]').forEach((e) => (e.required = true));
    form?.addEventListener("submit", (event) => {
      event.preventDefault();
      const said = new FormData(form);
      this.then(() => this.begin(said));
    });
    this.wire();
    const cannot = this.find("[data-cannot-keep]");
    if (cannot) cannot.hidden = this.keep.durable;
    await this.offerResume();
    this.show("before");
  }

  private async offerResume(): Promise<void> {
    const open = (await this.keep.all()).filter((k) => k.placement === this.kit.placement && !k.doc.closing && k.stopped === undefined && k.doc.trials.length > 0);
    const last = open.pop();
    const button = this.find("[data-resume]");
    if (!last || !button || Date.now() - last.changed > RESUME_WITHIN) return;
    button.hidden = false;
    button.addEventListener("click", () => this.then(() => this.resume(last)));
  }

  private async begin(said: FormData): Promise<void> {
    const value = (name: string): string => String(said.get(name) ?? "");
    this.clock = new Clock();
    const doc = begin(
      {
        placement: this.kit.placement,
        author: this.keep.account,
        kit: { id: this.kit.placement, hash: this.kitHash },
        device: this.device,
        by: value("by"),
        how: value("how") === "afterwards" ? "afterwards" : "live",
        plannedHelp: value("planned_help"),
        place: value("place"),
      },
      new Date(),
    );
    await this.save(doc);
    this.goOn();
  }

  private resume(k: Kept): void {
    this.doc = k.doc;
    this.clock = new Clock(lastMoment(k.doc) + Math.max(0, Date.now() - k.changed), false);
    this.goOn();
  }

  private goOn(): void {
    this.draw();
    this.show(this.find('[data-part="count"]') ? "count" : "rail");
  }

  // While it goes on.

  private wire(): void {
    this.on("[data-answer]", (e) => this.answer(e.dataset.answer ?? "", e.dataset.level));
    this.on("[data-undo]", () => this.undo());
    this.on("[data-stop]", () => this.stop());
    this.on("[data-unstop]", () => this.unstop());
    this.on("[data-other]", () => this.somethingElse());
    this.on("[data-finish]", () => this.finish());
    this.on("[data-one-more]", () => {
      this.plan++;
      this.draw();
      this.show("rail");
    });
    this.each("[data-leave]", (e) => {
      e.addEventListener("click", (event) => {
        event.preventDefault();
        this.then(() => this.leave((e as HTMLAnchorElement).href));
      });
    });
    const count = this.find<HTMLFormElement>("[data-count]");
    count?.addEventListener("submit", (event) => {
      event.preventDefault();
      this.then(() => this.count(new FormData(count)));
    });
    window.setInterval(() => this.then(() => this.sendOpen(false)), SEND_EVERY);
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "hidden") this.then(() => this.sendOpen(true));
    });
  }

  /** Keeps the document; only when that is done does the page go on. */
  private async save(doc: RecordingDocument): Promise<void> {
    for (let left = SAVE_TRIES; ; left--) {
      try {
        await this.keep.put(kept(doc, this.stopped));
        break;
      } catch (error) {
        if (left <= 1) throw error;
        await new Promise((again) => window.setTimeout(again, SAVE_PAUSE));
      }
    }
    this.doc = doc;
    this.dirty = true;
  }

  private async sendOpen(leaving: boolean): Promise<void> {
    const doc = this.doc;
    if (!doc || !this.dirty || doc.closing || doc.trials.length === 0) return;
    this.dirty = false;
    const sending = send(this.keep, kept(doc, this.stopped), this.clock.unbroken ? this.clock.now() : undefined, leaving);
    void sending.then((answer) => {
      if (answer !== "stored") this.dirty = true;
    });
  }

  private target(): string | undefined {
    const targets = this.kit.targets;
    if (!this.doc || targets.length === 0) return undefined;
    return targets[standing(this.doc).length % targets.length]?.key;
  }

  private async answer(kind: string, level: string | undefined): Promise<void> {
    if (!this.doc) return;
    const answer: TrialAnswer = { outcome: "correct" };
    const target = this.target();
    if (target !== undefined) answer.target = target;
    if (this.kit.choices >= 2) answer.choices = this.kit.choices;
    if (kind === "help" && level) answer.help = level;
    if (kind === "not_yet") answer.outcome = "incorrect";
    if (kind === "no_response" || kind === "declined" || kind === "no_chance") answer.outcome = kind;
    if (kind === "no_response") answer.none = true;
    const doc = answered(this.doc, answer, this.clock.now());
    if (!doc) return this.finish();
    await this.save(doc);
    buzz(kind);
    this.draw();
    const n = standing(doc).length;
    this.word("ready", { n, m: this.plan });
    if (n >= this.plan) this.show("enough");
  }

  private async undo(): Promise<void> {
    if (!this.doc || standing(this.doc).length === 0) return;
    await this.save(undone(this.doc, this.clock.now()));
    buzz("undo");
    this.word("undone");
    this.goOn();
  }

  private draw(): void {
    if (!this.doc) return;
    const marks = standing(this.doc);
    const last = marks.slice(-4); // more do not fit beside the corners at 320 px
    this.each("[data-part=rail] [data-marks]", (e) => fill(e, last.map((t) => this.mark(t.answer, "20"))));
    this.each("[data-part=enough] [data-marks]", (e) => fill(e, marks.map((t) => this.mark(t.answer, "20"))));
    this.each("[data-marks-large]", (e) => fill(e, marks.map((t) => this.mark(t.answer, "32"))));
    this.each("[data-so-far]", (e) => (e.textContent = this.text("of", { n: Math.min(marks.length + 1, this.plan), m: this.plan })));
    this.each("[data-enough-text]", (e) => (e.textContent = this.text("enough", { n: marks.length })));
    const target = this.kit.targets.find((t) => t.key === this.target());
    this.each("[data-card]", (e) => (e.textContent = target && this.kit.targets.length > 1 ? target.card || target.name : ""));
  }

  private mark(answer: TrialAnswer | undefined, size: string): Node {
    let key = "alone";
    if (answer?.outcome === "incorrect") key = "not_yet";
    else if (answer && answer.outcome !== "correct") key = answer.outcome;
    else if (answer?.help) key = "help:" + answer.help;
    const marks = document.getElementById("marks") as HTMLTemplateElement;
    const all = Array.from(marks.content.querySelectorAll<HTMLElement>("[data-mark]"));
    const found = all.find((e) => e.dataset.mark === key && e.dataset.size === size);
    return (found?.firstElementChild ?? document.createElement("span")).cloneNode(true);
  }

  // The end.

  private async stop(): Promise<void> {
    if (!this.doc || this.stopped) return;
    const stopped = { at: Date.now(), ms: this.clock.now() };
    this.stopped = stopped;
    buzz("stop");
    // Shown at once: comfort comes first. Where it is kept is said when that is known.
    this.each("[data-kept]", (e) => (e.textContent = ""));
    this.show("stopped");
    this.tick(stopped); // closing tries once more to keep it, should this fail
    await this.save(withField(this.doc, "ended_early", "distress"));
    this.each("[data-kept]", (e) => (e.textContent = this.text("saved")));
  }

  private tick(stopped: Stopped): void {
    if (this.stopped !== stopped) return; // undone, or closed by another way
    const left = Math.ceil((stopped.at + STOP_UNDO - Date.now()) / 1000);
    const out = this.find("[data-secs]");
    if (out) out.textContent = this.text("left", { n: Math.max(0, left) });
    if (left > 0) {
      window.setTimeout(() => this.tick(stopped), 250);
      return;
    }
    const undo = this.find("[data-unstop]");
    if (undo) undo.hidden = true;
    if (out) out.hidden = true;
    this.then(() => this.closeStop());
  }

  private async closeStop(): Promise<void> {
    const stopped = this.stopped;
    if (!this.doc || !stopped || this.doc.closing) return;
    const noted = this.doc.header.ended_early?.value ? this.doc : withField(this.doc, "ended_early", "distress");
    const doc = closedWhere(noted, stopped.ms);
    this.stopped = undefined;
    await this.save(doc);
    await this.sendClosed(doc);
  }

  private async unstop(): Promise<void> {
    if (!this.doc || !this.stopped || this.doc.closing) return;
    this.stopped = undefined;
    await this.save(withField(this.doc, "ended_early", ""));
    this.goOn();
  }

  private async somethingElse(): Promise<void> {
    if (!this.doc) return;
    if (this.doc.closing) return this.showDone(); // too late to say so here; the supervisor can correct it
    this.stopped = undefined;
    await this.finishWith(withField(this.doc, "ended_early", "other"));
  }

  private async count(said: FormData): Promise<void> {
    if (!this.doc) return;
    const fields = measured(this.kit.measure, (name) => String(said.get(name) ?? ""));
    const wrong = this.find("[data-count-error]");
    if (wrong) wrong.hidden = fields !== undefined;
    if (!fields) {
      if (wrong) wrong.textContent = this.text("countBad");
      return;
    }
    let doc = this.doc;
    if (fields.count !== undefined) doc = withField(doc, "count", fields.count);
    if (fields.observed_ms !== undefined) doc = withField(doc, "observed_ms", fields.observed_ms);
    if (fields.durations_ms) doc = withField(doc, "durations_ms", fields.durations_ms);
    if (fields.intervals) doc = withField(doc, "intervals", fields.intervals);
    await this.finishWith(doc);
  }

  private finish(): Promise<void> {
    return this.doc ? this.finishWith(this.doc) : Promise.resolve();
  }

  private async finishWith(doc: RecordingDocument): Promise<void> {
    const done = closed(doc, this.clock.now(), new Date());
    await this.save(done);
    this.showDone();
    await this.sendClosed(done);
  }

  private showDone(): void {
    this.draw();
    const n = this.doc ? standing(this.doc).length : 0;
    this.each("[data-tries-text]", (e) => {
      e.textContent = this.text("tries", { n });
      e.hidden = n === 0;
    });
    this.each("[data-kept]", (e) => (e.textContent = this.text("onPhone")));
    this.show("done");
    this.find<HTMLElement>('[data-part="done"] h1')?.focus();
  }

  private async sendClosed(doc: RecordingDocument): Promise<void> {
    await send(this.keep, kept(doc), this.clock.unbroken ? this.clock.now() : undefined);
    const now = (await this.keep.all()).find((k) => k.id === doc.id);
    if (now && isStored(now)) {
      this.each("[data-kept]", (e) => (e.textContent = this.text(now.receipt?.quarantined ? "held" : "sent")));
    } else {
      this.outbox.now();
    }
  }

  private async leave(href: string): Promise<void> {
    if (this.doc && !this.doc.closing && this.stopped) {
      // Whoever leaves has decided; the next page closes and sends it, should this one not get round to it.
      await this.closeStop();
    }
    location.assign(href);
  }
}

/** Starts the recorder on a page that has one. */
export async function startRecorder(outbox: Outbox): Promise<void> {
  const root = document.getElementById("recorder");
  if (!root) return;
  const part = (selector: string, hidden: boolean): void => {
    const e = root.querySelector<HTMLElement>(selector);
    if (e) e.hidden = hidden;
  };
  part("[data-needs-script]", true);
  part("[data-opening]", false);
  try {
    const response = await fetch(root.dataset.kit ?? "", { credentials: "same-origin", cache: "no-store" });
    if (!response.ok) throw new Error("kit: " + String(response.status));
    const kit = (await response.json()) as Kit;
    const device = await outbox.keep.device();
    await new Recorder(root, outbox, outbox.keep, kit, response.headers.get(KIT_HASH) ?? "", device).start();
  } catch {
    part("[data-opening]", true);
    part("[data-cannot]", false);
  }
}
