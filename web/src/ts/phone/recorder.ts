// The recorder. It switches between its parts, stores each tap on the phone before showing it, and sends the
// whole document from time to time.

import type { Answer as TrialAnswer, DayKit, Header, Kit, RecordingDocument, Trial } from "./contract";
import { acquireTabLock, RECORDING_LOCK } from "./tablock";
import { buzz } from "./buzz";
import { Clock } from "./clock";
import { afterLongPress, whilePressed } from "./cover";
import { answered, begin, closed, closedWhere, lastMoment, inEffect, undone, withField } from "./document";
import { toKept } from "./keep";
import type { Keep, Kept, Stopped } from "./keep";
import { tokensEarned, unfit } from "./fits";
import { parseMeasured } from "./measured";
import type { Outbox } from "./outbox";
import type { Phone } from "./phonedb";
import type { Pictures } from "./pictures";
import { sessionOrder } from "./sequence";
import type { Trial as Place } from "./sequence";
import { answerMark, answersOf, byTrial, placeOf, planOf, recorderPage } from "./rail";
import type { RecorderState } from "./rail";
import { STOP_UNDO, isStored, send } from "./send";
import { announce, fill, shortTime, say } from "./words";

const SEND_EVERY = 10_000; // ms; not for each tap
const SAVE_TRIES = 3;
const SAVE_PAUSE = 300; // ms
const RESUME_WITHIN = 12 * 3_600_000; // ms

type Part = "before" | "rail" | "several" | "count" | "enough" | "stopped" | "done";

/** What a recorder needs from the page around it. */
export interface Around {
  keep: Keep;
  outbox: Outbox;
  phone: Phone;
  pictures: Pictures;
  go(path: string): void;
}

export class Recorder {
  private ordered?: { id: string; trials: Place[] };
  readonly root: HTMLElement;
  private readonly kit: Kit;
  private doc: RecordingDocument | undefined;
  private clock = new Clock();
  private stopped: Stopped | undefined;
  private plan: number;
  private dirty = false;
  private work: Promise<void> = Promise.resolve();
  private release: (() => void) | undefined;
  private readonly undo: (() => void)[] = [];
  private part: Part | undefined;
  private readonly rail: { marks: HTMLElement[]; soFar: HTMLElement[] };
  private marks = new Map<Trial, Node>(); // those in the corner of the rail
  private readonly cards = new Map<string, Node[]>(); // by target, created once: a tap only moves them
  private card: string | undefined; // the current target and position
  private readonly tokens: HTMLElement[] = []; // created once; a tap only fills them

  constructor(
    private readonly around: Around,
    private readonly dayKit: DayKit,
    state: RecorderState,
  ) {
    this.kit = dayKit.kit;
    this.plan = planOf(this.kit);
    this.root = recorderPage(this.kit, state, around.phone.say);
    this.root.dataset.hand = around.phone.hand ?? "end";
    this.rail = { marks: this.list("[data-part=rail] [data-marks]"), soFar: this.list("[data-so-far]") };
    const all = [...this.kit.targets, ...(this.kit.known ?? [])];
    for (const t of all) {
      const words = all.length > 1 ? t.card || t.name : "";
      this.cards.set(t.key, [...around.pictures.img(t.picture), ...(words === "" ? [] : [document.createTextNode(words)])]);
    }
  }

  private list(selector: string): HTMLElement[] {
    return Array.from(this.root.querySelectorAll<HTMLElement>(selector));
  }

  private get keep(): Keep {
    return this.around.keep;
  }

  /** Whether a session is open here, in which case nothing may be reloaded. */
  get open(): boolean {
    return this.doc !== undefined && this.doc.closing === undefined;
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
      e.addEventListener("click", () => this.inTurn(() => fn(e)));
    });
  }

  /**
   * Everything runs in order: a tap is finished before the next one begins. (Not named "then", which would
   * make this a thenable.)
   */
  private inTurn(fn: () => Promise<void> | void): void {
    this.work = this.work.then(fn).catch(() => this.notSaved());
  }

  private notSaved(): void {
    announce(say("recorder.not_saved"));
    this.each("[data-kept]", (e) => (e.textContent = say("recorder.not_saved")));
    this.each("[data-so-far]", (e) => (e.textContent = say("recorder.not_saved")));
  }

  private show(part: Part): void {
    if (part === this.part) return; // a tap leaves the page as it is
    this.part = part;
    this.each("[data-part]", (e) => (e.hidden = !(e.dataset.part ?? "").split(" ").includes(part)));
    document.body.classList.toggle("recording", part === "rail");
    window.scrollTo(0, 0);
  }

  // Before.

  async start(): Promise<void> {
    const form = this.find<HTMLFormElement>("[data-before]");
    form?.querySelectorAll<HTMLInputElement>('input[name="by"]').forEach((e) => (e.required = true));
    form?.addEventListener("submit", (event) => {
      event.preventDefault();
      const said = new FormData(form);
      this.inTurn(() => this.begin(said));
    });
    this.wire();
    const cannot = this.find("[data-cannot-keep]");
    if (cannot) cannot.hidden = this.keep.durable;
    await this.offerResume();
    this.show("before");
  }

  /** Leaves the page: the outbox closes a stopped session, and an open one can be continued. */
  dispose(): void {
    this.undo.forEach((fn) => fn());
    this.release?.();
    document.body.classList.remove("recording");
  }

  /** One session at a time on this phone, in one tab. */
  private async mine(): Promise<boolean> {
    this.release ??= await acquireTabLock(RECORDING_LOCK);
    const elsewhere = this.find("[data-elsewhere]");
    if (elsewhere) elsewhere.hidden = this.release !== undefined;
    return this.release !== undefined;
  }

  private async offerResume(): Promise<void> {
    const open = (await this.keep.all()).filter((k) => k.placement === this.kit.placement && k.doc && !k.doc.closing && k.stopped === undefined && k.doc.trials.length > 0);
    const last = open.pop();
    const box = this.find("[data-resume-box]");
    if (!last || !box || Math.abs(Date.now() - last.changed) > RESUME_WITHIN) return;
    box.hidden = false;
    const text = this.find("[data-resume-text]");
    const when = shortTime(new Date(last.doc.started_at));
    if (text) text.textContent = say("phone.resume_at", { program: this.kit.program, when, n: inEffect(last.doc).length }) + " " + say("phone.resume_gap");
    this.find("[data-resume]")?.addEventListener("click", () => this.inTurn(() => this.resume(last)));
  }

  private async begin(said: FormData): Promise<void> {
    if (!(await this.mine())) return;
    const value = (name: string): string => String(said.get(name) ?? "");
    this.clock = new Clock();
    let doc = begin(
      {
        placement: this.kit.placement,
        author: this.keep.account,
        kit: { id: this.kit.placement, hash: this.dayKit.hash },
        device: await this.keep.device(),
        by: value("by"),
        how: value("how") === "afterwards" ? "afterwards" : "live",
        plannedHelp: value("planned_help"),
        place: value("place"),
      },
      new Date(),
    );
    const present = said.getAll("present").map(String);
    if (present.length > 0) doc = withField(doc, "present", present);
    const other = unfit(this.kit, value("by"), present, said.getAll("fits").map(String));
    if (other.length > 0) doc = withField(doc, "unfit", other);
    await this.save(doc);
    if (doc.header.how.value === "afterwards" && byTrial(this.kit)) this.show("several");
    else this.goOn();
  }

  private async resume(k: Kept): Promise<void> {
    if (!(await this.mine())) return;
    // Another tab may have continued it in the meantime.
    const now = (await this.keep.get(k.id)) ?? k;
    if (now.doc.closing) return this.around.go("/today");
    this.doc = now.doc;
    this.clock = new Clock(lastMoment(now.doc) + Math.max(0, Date.now() - now.changed), false);
    this.goOn();
  }

  private goOn(): void {
    this.draw();
    this.show(byTrial(this.kit) ? "rail" : "count");
  }

  // During the session.

  private wire(): void {
    this.on("[data-answer]", (e) => this.answer(e.dataset.answer ?? "", e.dataset.level));
    this.on("[data-undo]", () => this.back());
    this.on("[data-stop]", () => this.stop());
    this.on("[data-unstop]", () => this.unstop());
    this.on("[data-other]", () => this.somethingElse());
    this.on("[data-finish]", () => this.finish());
    this.on("[data-one-more]", () => {
      this.plan++;
      this.draw();
      this.show("rail");
    });
    this.on("[data-several]", () => this.show("several"));
    this.on("[data-several-back]", () => this.goOn());
    this.on("[data-several-add]", () => this.several());
    this.each("[data-leave]", (e) => {
      e.addEventListener("click", (event) => {
        event.preventDefault();
        event.stopPropagation();
        this.inTurn(() => this.leave((e as HTMLAnchorElement).pathname));
      });
    });
    const count = this.find<HTMLFormElement>("[data-count]");
    count?.addEventListener("submit", (event) => {
      event.preventDefault();
      this.inTurn(() => this.count(new FormData(count)));
    });
    this.wireRows();
    this.wireCover();
    const timer = window.setInterval(() => this.inTurn(() => this.sendOpen(false)), SEND_EVERY);
    const hidden = (): void => {
      if (document.visibilityState === "hidden") this.inTurn(() => this.sendOpen(true));
    };
    document.addEventListener("visibilitychange", hidden);
    this.undo.push(() => clearInterval(timer), () => document.removeEventListener("visibilitychange", hidden));
  }

  private wireRows(): void {
    this.each(".severalrow", (row) => {
      const out = row.querySelector<HTMLOutputElement>("[data-n]")!;
      const add = (by: number): void => void (out.value = String(Math.max(0, Math.min(99, Number(out.value) + by))));
      row.querySelector("[data-less]")?.addEventListener("click", () => add(-1));
      row.querySelector("[data-plus]")?.addEventListener("click", () => add(1));
    });
  }

  private wireCover(): void {
    const sheet = this.find("[data-cover-sheet]");
    const cover = (on: boolean): void => {
      if (sheet) sheet.hidden = !on;
      buzz("cover");
    };
    this.find("[data-cover]")?.addEventListener("click", () => cover(true));
    const off = this.find("[data-uncover]");
    if (off) afterLongPress(off, () => cover(false));
    this.on("[data-cover-sheet] [data-stop]", () => cover(false));
    const card = this.find("[data-press]");
    if (!card) return;
    whilePressed(card, (on) => {
      const text = card.querySelector<HTMLElement>("[data-press-text]");
      const target = card.querySelector<HTMLElement>("[data-press-card]");
      if (text) text.hidden = on;
      if (target) target.hidden = !on;
    });
  }

  /** Stores the document; the page continues only when that is done. */
  private save(doc: RecordingDocument): Promise<void> {
    return this.saving(doc, () => this.keep.put(toKept(doc, this.stopped)));
  }

  private async saving(doc: RecordingDocument, put: () => Promise<void>): Promise<void> {
    for (let left = SAVE_TRIES; ; left--) {
      try {
        await put();
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
    const sending = send(this.keep, toKept(doc, this.stopped), this.clock.unbroken ? this.clock.now() : undefined, leaving);
    void sending.then((h) => {
      if (h.answer !== "stored") this.dirty = true;
    });
  }

  /** What comes next: which target, and where its right answer is. */
  private next(doc: RecordingDocument): Place | undefined {
    const order = this.order(doc);
    return order.length === 0 ? undefined : order[inEffect(doc).length % order.length];
  }

  /**
   * The session's trials in the step's order, always the same for a session; in turn if the step has no rule.
   */
  private order(doc: RecordingDocument): Place[] {
    const keys = this.kit.targets.map((t) => t.key);
    const known = (this.kit.known ?? []).map((t) => t.key);
    if (this.ordered?.id !== doc.id) this.ordered = { id: doc.id, trials: sessionOrder(this.kit, keys, this.plan, doc.id, known) };
    return this.ordered.trials;
  }

  private withTarget(doc: RecordingDocument, answer: TrialAnswer): TrialAnswer {
    const out = { ...answer };
    const { choices } = this.kit;
    const next = this.next(doc);
    if (next?.target) out.target = next.target;
    if (choices >= 2) {
      out.choices = choices;
      // The position chosen follows from that of the right answer, unless there are several wrong ones.
      if (next?.position && answer.outcome === "correct") out.position = next.position;
      if (next?.position && answer.outcome === "incorrect" && choices === 2) out.position = 3 - next.position;
    }
    return out;
  }

  /** An answer entered afterward: positions are unknown, and known targets are not asked for. */
  private afterwards(doc: RecordingDocument, answer: TrialAnswer, chosen: string): TrialAnswer {
    const out = { ...answer };
    const { targets, choices } = this.kit;
    const target = chosen || targets[inEffect(doc).length % (targets.length || 1)]?.key;
    if (target) out.target = target;
    if (choices >= 2) out.choices = choices;
    return out;
  }

  private async answer(kind: string, level: string | undefined): Promise<void> {
    if (!this.doc) return;
    const answer: TrialAnswer = { outcome: "correct" };
    if (kind === "help" && level) answer.help = level;
    if (kind === "not_yet") answer.outcome = "incorrect";
    if (kind === "no_response" || kind === "declined" || kind === "no_chance") answer.outcome = kind;
    if (kind === "no_response") answer.none = true;
    const doc = answered(this.doc, this.withTarget(this.doc, answer), this.clock.now());
    if (!doc) return this.finish();
    await this.tapped(doc, doc.trials[doc.trials.length - 1]!);
    this.counted(doc);
    buzz(kind);
  }

  /** Stores one tap; the page continues only when that is done. */
  private tapped(doc: RecordingDocument, trial: Trial): Promise<void> {
    return this.saving(doc, () => this.keep.tap(doc, trial));
  }

  private counted(doc: RecordingDocument): void {
    this.draw();
    const n = inEffect(doc).length;
    this.show(n >= this.plan ? "enough" : "rail");
    announce(say(this.keep.durable ? "recorder.ready" : "recorder.unkept", { n, m: this.plan }));
  }

  /** Several at once: a number of each, in row order, marked as entered afterward. */
  private async several(): Promise<void> {
    let doc = this.doc;
    if (!doc) return;
    const answers = answersOf(this.kit);
    const rows = Array.from(this.root.querySelectorAll<HTMLOutputElement>(".severalrow [data-n]"));
    const chosen = this.find<HTMLInputElement>('[data-of] input[name="of"]:checked')?.value ?? "";
    for (const row of rows) {
      const answer = answers[Number(row.dataset.n)]?.answer;
      for (let i = 0; answer && i < Number(row.value); i++) doc = answered(doc, this.afterwards(doc, answer, chosen), this.clock.now()) ?? doc;
    }
    if (doc === this.doc) return this.goOn();
    if (doc.header.how.value !== "afterwards") doc = withField(doc, "how", "afterwards");
    await this.save(doc);
    rows.forEach((row) => (row.value = "0"));
    buzz("alone");
    this.counted(doc);
  }

  private async back(): Promise<void> {
    if (!this.doc || inEffect(this.doc).length === 0) return;
    const taken = inEffect(this.doc).pop()!;
    const doc = undone(this.doc, this.clock.now());
    await this.tapped(doc, doc.trials.find((t) => t.n === taken.n)!);
    this.goOn();
    announce(say("recorder.undone"));
    buzz("undo");
  }

  private draw(): void {
    const doc = this.doc;
    if (!doc) return;
    const marks = inEffect(doc);
    const last = marks.slice(-4); // more do not fit beside the corners at 320 px
    const draw = (list: typeof marks, size: "20" | "32"): Node[] => list.map((t) => answerMark(this.kit, t.answer, size));
    this.rail.marks.forEach((e) => this.drawMarks(e, last));
    const soFar = say("recorder.of", { n: Math.min(marks.length + 1, this.plan), m: this.plan });
    this.rail.soFar.forEach((e) => (e.textContent = soFar));
    const over = doc.closing !== undefined || marks.length >= this.plan; // only then are these visible
    if (over) {
      this.each("[data-part=enough] [data-marks]", (e) => fill(e, draw(marks, "20")));
      this.each("[data-enough-text]", (e) => (e.textContent = say("recorder.enough_text", { n: marks.length })));
    }
    if (doc.closing) this.each("[data-marks-large]", (e) => fill(e, draw(marks, "32")));
    this.drawCard(doc);
    this.drawTokens(marks);
  }

  /** The tokens earned so far, if the step has tokens. */
  private drawTokens(marks: Trial[]): void {
    const n = this.kit.tokens ?? 0;
    const row = this.find("[data-tokens]");
    if (!row || n < 1) return;
    if (this.tokens.length === 0) {
      for (let i = 0; i < n; i++) this.tokens.push(row.appendChild(document.createElement("i")));
      row.appendChild(document.createElement("b")).textContent = say("recorder.exchange");
      row.hidden = false;
    }
    const have = tokensEarned(marks.map((t) => t.answer?.outcome), n);
    this.tokens.forEach((e, i) => e.classList.toggle("on", i < have));
    row.classList.toggle("full", have === n);
    row.setAttribute("aria-label", have === n ? say("recorder.exchange") : say("recorder.tokens", { n: have, m: n }));
  }

  /** Draws the last marks. Those already drawn stay: a tap adds one and removes one. */
  private drawMarks(e: HTMLElement, last: Trial[]): void {
    const nodes = last.map((t) => this.marks.get(t) ?? answerMark(this.kit, t.answer, "20"));
    this.marks = new Map(last.map((t, i) => [t, nodes[i]!]));
    Array.from(e.childNodes).forEach((c) => nodes.includes(c) || e.removeChild(c));
    nodes.forEach((n, i) => {
      if (e.childNodes[i] !== n) e.insertBefore(n, e.childNodes[i] ?? null);
    });
  }

  private drawCard(doc: RecordingDocument): void {
    const next = this.next(doc);
    const drawn = (next?.target ?? "") + " " + String(next?.position ?? "");
    if (drawn === this.card) return;
    this.card = drawn;
    const card = [...(this.cards.get(next?.target ?? "") ?? []), ...placeOf(next?.position, this.kit.choices)];
    const pressToShow = this.kit.held === true && card.length > 0;
    this.each("[data-card]", (e) => (e.hidden = pressToShow));
    this.each("[data-press]", (e) => (e.hidden = !pressToShow));
    this.each(pressToShow ? "[data-press-card]" : "[data-card]", (e) => fill(e, card));
  }

  // The end.

  private async stop(): Promise<void> {
    if (!this.doc || this.stopped || this.doc.closing) return;
    const stopped = { at: Date.now(), ms: this.clock.now() };
    this.stopped = stopped;
    buzz("stop");
    // Shown at once: comfort comes first. Where it is stored is added when that is known.
    this.each("[data-kept]", (e) => (e.textContent = ""));
    this.show("stopped");
    this.tick(stopped); // closing tries again to store it, should this fail
    await this.save(withField(this.doc, "ended_early", "distress"));
    this.each("[data-kept]", (e) => (e.textContent = say(this.keep.durable ? "recorder.saved" : "recorder.unkept_stop")));
  }

  private tick(stopped: Stopped): void {
    if (this.stopped !== stopped) return; // undone, or closed in a different way
    const left = Math.ceil((stopped.ms + STOP_UNDO - this.clock.now()) / 1000);
    const out = this.find("[data-secs]");
    if (out) out.textContent = say("recorder.seconds_left", { n: Math.max(0, left) });
    if (left > 0) {
      window.setTimeout(() => this.tick(stopped), 250);
      return;
    }
    const undo = this.find("[data-unstop]");
    if (undo) undo.hidden = true;
    if (out) out.hidden = true;
    this.inTurn(() => this.closeStop());
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
    if (this.doc.closing) return this.showDone(); // too late to change it here; the supervisor can correct it
    this.stopped = undefined;
    await this.finishWith(withField(this.doc, "ended_early", "other"));
  }

  private async count(said: FormData): Promise<void> {
    if (!this.doc) return;
    const fields = parseMeasured(this.kit.measure, (name) => String(said.get(name) ?? ""));
    const wrong = this.find("[data-count-error]");
    if (wrong) wrong.hidden = fields !== undefined;
    if (!fields) {
      if (wrong) wrong.textContent = say("recorder.count_bad");
      return;
    }
    let doc = this.doc;
    (Object.keys(fields) as (keyof typeof fields)[]).forEach((name) => (doc = withField(doc, name, fields[name] as NonNullable<Header[typeof name]>["value"])));
    await this.finishWith(doc);
  }

  private finish(): Promise<void> {
    return this.doc ? this.finishWith(this.doc) : Promise.resolve();
  }

  private async finishWith(doc: RecordingDocument): Promise<void> {
    if (doc.closing) return;
    const done = closed(doc, this.clock.now(), new Date());
    await this.save(done);
    this.showDone();
    await this.sendClosed(done);
  }

  private showDone(): void {
    this.draw();
    const n = this.doc ? inEffect(this.doc).length : 0;
    this.each("[data-tries-text]", (e) => {
      e.textContent = say("recorder.done_tries", { n });
      e.hidden = n === 0;
    });
    const other = (this.doc?.header.unfit?.value ?? []).map((c) => this.kit.fits?.[c] ?? "").filter((t) => t !== "");
    this.each("[data-unfit]", (e) => {
      e.textContent = say("recorder.unfit", { what: other.join(", ") });
      e.hidden = other.length === 0;
    });
    this.each("[data-kept]", (e) => (e.textContent = say(this.keep.durable ? "recorder.on_phone" : "recorder.unkept_stop")));
    this.show("done");
    this.find<HTMLElement>("[data-done-title]")?.focus();
  }

  private async sendClosed(doc: RecordingDocument): Promise<void> {
    this.release?.();
    this.release = undefined;
    // The rest of the page does not wait for the network.
    void send(this.keep, toKept(doc), this.clock.unbroken ? this.clock.now() : undefined).then(async () => {
      const now = await this.keep.get(doc.id);
      if (now && isStored(now)) {
        this.each("[data-kept]", (e) => (e.textContent = say(now.receipt?.quarantined ? "recorder.held" : "recorder.sent")));
        await this.around.outbox.show();
        this.around.outbox.onStored?.();
      } else {
        this.around.outbox.now();
      }
    });
  }

  private async leave(path: string): Promise<void> {
    if (this.doc && !this.doc.closing && this.stopped) {
      // Leaving confirms the stop; the next page closes and sends it, should this one not get to it.
      await this.closeStop();
    }
    this.around.go(path);
  }
}
