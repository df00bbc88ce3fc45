// The recorder: begins, resumes, stops and finishes a session, and shows one part of its page at a time. What is
// recorded, and how, is the face's (face/face.ts). Each tap is stored on the phone before it is shown, and the whole
// document is sent from time to time.

import "./common";
import type { Answer, DayKit, Kit, RecordingDocument } from "./contract";
import { answerMark } from "./answers";
import { briefPage } from "./brief";
import { buzz } from "./buzz";
import { Clock } from "./clock";
import { afterLongPress } from "./cover";
import { answered, begin, closed, hasContent, inEffect, revised, undone, withField } from "./document";
import type { Kind } from "./document";
import type { Face, Fields, Session, Written } from "./face/face";
import { byTrial, faceName, loadFace } from "./face/faces";
import { unfit } from "./fits";
import type { FaceState, Keep, Kept } from "./keep";
import { canContinue, finishAsItIs, isOpen, openOf, OpenSession, sinceLeft } from "./open";
import type { Outbox } from "./outbox";
import type { Phone } from "./phonedb";
import type { Pictures } from "./pictures";
import { KINDS, levelsFor, planOf, recorderPage, withFace } from "./recorderpage";
import type { RecorderState } from "./recorderpage";
import { sessionOrder } from "./sequence";
import type { Trial as Place } from "./sequence";
import { keepFit } from "./fit";
import type { Fit } from "./fit";
import { addSeveral, wireSeveral } from "./several";
import { acquireTabLock, RECORDING_LOCK } from "./tablock";
import { SAME_WITHIN, Taps } from "./taps";
import { announce, fill, shortTime, say } from "./words";
import { drawChoices, drawWritten } from "./written";

const SEND_EVERY = 10_000; // ms; not for each tap
const MOST_MARKS = 4; // beside the corners; more do not fit at 320 px

/** The parts of the page that are not a face. */
type Part = "before" | "several" | "written" | "change" | "brief" | "declined" | "ending" | "enough" | "stopped" | "done";

/** How long a page ignores taps that were meant for the one before, in ms. */
const SETTLING: { [part: string]: number } = { declined: 500, enough: 300, stopped: 300 };
/** What works at once all the same. */
const AT_ONCE: { [part: string]: string } = { enough: "[data-stop]", stopped: "[data-unstop]" };

/** What a recorder needs from the page around it. */
export interface Around {
  keep: Keep;
  outbox: Outbox;
  phone: Phone;
  pictures: Pictures;
  go(path: string): void;
}

export class Recorder {
  readonly root: HTMLElement;
  private readonly kit: Kit;
  private running: OpenSession | undefined;
  private face: Face | undefined;
  private faceName = "";
  private kind: Kind = "teaching";
  private plan: number;
  private ordered?: { id: string; trials: Place[] };
  private readonly taps = new Taps();
  private work: Promise<void> = Promise.resolve();
  private release: (() => void) | undefined;
  private readonly undo: (() => void)[] = [];
  private part: string | undefined;
  private fit: Fit | undefined;
  private marks = new Map<unknown, Node>(); // those in the corner of the face, by trial
  private readonly changes: { n: number; was: Answer | undefined }[] = []; // lines put right, the last one last

  constructor(
    private readonly around: Around,
    private readonly dayKit: DayKit,
    private readonly state: RecorderState,
  ) {
    this.kit = dayKit.kit;
    this.plan = planOf(this.kit);
    this.root = recorderPage(this.kit, state, around.phone.say);
    this.root.dataset.hand = around.phone.hand ?? "end";
  }

  private get keep(): Keep {
    return this.around.keep;
  }

  private get doc(): RecordingDocument | undefined {
    return this.running?.doc;
  }

  /** Whether a session is open here, in which case nothing may be reloaded. */
  get open(): boolean {
    return this.doc !== undefined && this.doc.closing === undefined;
  }

  // The page.

  private find<E extends HTMLElement>(selector: string): E | null {
    return this.root.querySelector<E>(selector);
  }

  private each(selector: string, fn: (e: HTMLElement) => void, root: ParentNode = this.root): void {
    root.querySelectorAll<HTMLElement>(selector).forEach(fn);
  }

  private on(selector: string, fn: (e: HTMLElement) => Promise<void> | void, root: ParentNode = this.root, once = false): void {
    this.each(selector, (e) => {
      e.addEventListener("click", (event) => {
        if (e.getAttribute("aria-disabled") === "true") return; // the page has just appeared
        if (once && !this.taps.counts(e, event.timeStamp)) return;
        if (once) just(e);
        this.inTurn(() => fn(e));
      });
    }, root);
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
    this.each("[data-kept], [data-so-far]", (e) => (e.textContent = say("recorder.not_saved")));
  }

  private show(part: Part | "face"): void {
    const shown = part === "face" ? this.faceName : part;
    if (shown === this.part) return; // a tap leaves the page as it is
    this.part = shown;
    this.each("[data-part]", (e) => (e.hidden = !(e.dataset.part ?? "").split(" ").includes(shown)));
    document.body.classList.toggle("recording", part === "face");
    window.scrollTo(0, 0);
    const section = this.find(`section[data-part~="${shown}"]:not([hidden])`);
    if (!section || part === "before") return;
    this.settle(section, shown);
    if (part === "face") this.fit?.now();
    section.querySelector<HTMLElement>("[data-page-title]")?.focus({ preventScroll: true });
  }

  /** A page that comes by itself ignores the taps that were meant for the one before. */
  private settle(section: HTMLElement, part: string): void {
    const ms = SETTLING[part];
    if (ms === undefined) return;
    const buttons = Array.from(section.querySelectorAll<HTMLElement>("button")).filter((e) => AT_ONCE[part] === undefined || !e.matches(AT_ONCE[part]!));
    buttons.forEach((e) => e.setAttribute("aria-disabled", "true"));
    window.setTimeout(() => buttons.forEach((e) => e.removeAttribute("aria-disabled")), ms);
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
    form?.addEventListener("change", () => this.look(form));
    if (form) this.look(form);
    this.wire(this.root);
    this.wirePage();
    void loadFace(faceName(this.kit)).catch(() => undefined); // while the person chooses
    const cannot = this.find("[data-cannot-keep]");
    if (cannot) cannot.hidden = this.keep.durable;
    // Today leads here to continue one session, without asking again.
    const asked = new URLSearchParams(location.search).get("open") ?? "";
    const named = asked === "" ? undefined : await this.keep.get(asked);
    const open = named && isOpen(named) ? named : await openOf(this.keep, this.kit.placement);
    if (open) this.offerResume(open);
    this.show("before");
    if (open && open === named && canContinue(open)) this.inTurn(() => this.resume(open));
  }

  /** Says which kind of session it will be, and what only looking means. */
  private look(form: HTMLFormElement): void {
    const kind = kindIn(new FormData(form), this.state.kind);
    const looks = kind !== "teaching";
    this.each("[data-look]", (e) => (e.hidden = !looks));
    this.each("[data-look-why]", (e) => (e.textContent = looks ? say(`recorder.why_${kind}`) : ""));
    this.each("[data-usual]", (e) => (e.hidden = looks));
    this.each("[data-begin]", (e) => (e.textContent = say(looks ? "recorder.start_looking" : "recorder.start")));
    this.each('fieldset[data-if="help_levels"]', (e) => (e.hidden = looks)); // no help is planned then
  }

  /** Leaves the page: the outbox closes a stopped session, and an open one can be continued. */
  dispose(): void {
    this.face?.dispose?.();
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

  /** Offers what was begun earlier, whenever that was. After 12 hours it can only be finished as it is. */
  private offerResume(k: Kept): void {
    const box = this.find("[data-resume-box]");
    if (!box) return;
    box.hidden = false;
    const again = canContinue(k);
    const text = this.find("[data-resume-text]");
    const when = shortTime(new Date(k.doc.started_at));
    // A count, a duration or intervals run on by the clock, and have no tries.
    const tries = byTrial(this.kit);
    const gap = again && tries ? " " + say("phone.resume_gap") : "";
    if (text) text.textContent = say(tries ? "phone.resume_at" : "phone.resume_measured", { program: this.kit.program, when, n: inEffect(k.doc).length }) + gap;
    const go = this.find("[data-resume]");
    if (go) go.hidden = !again;
    go?.addEventListener("click", () => this.inTurn(() => this.resume(k)));
    this.find("[data-as-it-is]")?.addEventListener("click", () => this.inTurn(() => this.asItIs(k, box)));
  }

  private async asItIs(k: Kept, box: HTMLElement): Promise<void> {
    if (!(await this.mine())) return;
    await finishAsItIs(this.keep, k);
    box.hidden = true;
    this.around.outbox.now();
  }

  private async begin(said: FormData): Promise<void> {
    if (!(await this.mine())) return;
    const value = (name: string): string => String(said.get(name) ?? "");
    const kind = kindIn(said, this.state.kind);
    const how = value("how") === "afterwards" ? "afterwards" : "live";
    let doc = begin(
      {
        placement: this.kit.placement,
        author: this.keep.account,
        kit: { id: this.kit.placement, hash: this.dayKit.hash },
        device: await this.keep.device(),
        by: value("by"),
        how,
        kind,
        plannedHelp: kind === "teaching" ? value("planned_help") : "",
        place: value("place"),
      },
      new Date(),
    );
    const present = said.getAll("present").map(String);
    if (present.length > 0) doc = withField(doc, "present", present);
    const other = unfit(this.kit, value("by"), present, said.getAll("fits").map(String));
    if (other.length > 0) doc = withField(doc, "unfit", other);
    const open = new OpenSession(this.keep, doc, new Clock());
    if (!(await this.faced(open, kind))) return;
    await open.save(doc);
    if (how === "afterwards" && this.face?.several) this.show("several");
    else this.goOn();
  }

  private async resume(k: Kept): Promise<void> {
    if (this.open || !(await this.mine())) return;
    // Another tab may have continued it in the meantime.
    const now = (await this.keep.get(k.id)) ?? k;
    if (now.doc.closing) return this.around.go("/today");
    const open = new OpenSession(this.keep, now.doc, new Clock(sinceLeft(now), false), now.face);
    if (!(await this.faced(open, now.doc.header.kind.value ?? "teaching"))) return;
    this.draw();
    this.show("face");
  }

  /** Loads the face of a session and wires it; says so if it is not here. */
  private async faced(open: OpenSession, kind: Kind): Promise<boolean> {
    const name = faceName(this.kit, open.doc.header.how.value);
    const missing = this.find("[data-no-face]");
    try {
      const module = await loadFace(name);
      this.running = open;
      this.kind = kind;
      this.faceName = name;
      const lang = this.find<HTMLInputElement>('input[name="say_in"]:checked')?.value ?? this.around.phone.say;
      const section = withFace(this.root, module, this.kit, kind, lang);
      this.part = undefined; // the section is new, and not shown yet
      this.wire(section);
      const fit = keepFit(section);
      this.fit = fit;
      this.undo.push(() => fit.end());
      this.face = module.attach(section, this.session(open, section));
    } catch {
      this.running = undefined;
    }
    if (missing) missing.hidden = this.running !== undefined;
    return this.running !== undefined;
  }

  private goOn(): void {
    this.draw();
    this.show(this.face?.enough() ? "enough" : "face");
  }

  // During the session.

  /** Wires what a face has in common with the pages around it. */
  private wire(root: ParentNode): void {
    this.on("[data-undo]", () => this.back(), root);
    this.on("[data-stop]", () => this.stop(), root);
    this.on("[data-several]", () => this.show("several"), root);
    this.on("[data-cover]", () => this.cover(true), root);
    this.on("[data-written]", () => this.written(), root);
    this.on("[data-brief]", () => this.brief(), root);
    this.on("[data-finish-here]", () => this.askToFinish(), root);
    this.on("[data-back]", () => this.goOn(), root);
  }

  private wirePage(): void {
    this.on("[data-unstop]", () => this.unstop());
    this.on("[data-other]", () => this.somethingElse());
    this.on("[data-finish]", () => this.finish());
    this.on("[data-finish-here-yes]", () => this.finishHere());
    this.on("[data-came-back]", () => this.goOn());
    // A key that is held down answers once.
    this.root.addEventListener("keydown", (event) => {
      if (event.repeat && (event.key === "Enter" || event.key === " ") && event.target instanceof HTMLButtonElement) event.preventDefault();
    });
    this.on("[data-one-more]", () => {
      this.plan = this.doc ? Math.max(this.plan, inEffect(this.doc).length) + 1 : this.plan;
      this.draw();
      this.show("face");
    });
    this.on("[data-several-back]", () => this.goOn());
    this.on("[data-several-add]", () => this.several());
    this.each("[data-leave]", (e) => {
      e.addEventListener("click", (event) => {
        event.preventDefault();
        event.stopPropagation();
        this.inTurn(() => this.leave((e as HTMLAnchorElement).pathname));
      });
    });
    wireSeveral(this.root);
    this.wireCover();
    const timer = window.setInterval(() => this.inTurn(() => this.running?.sendOpen(false)), SEND_EVERY);
    const hidden = (): void => {
      if (document.visibilityState === "hidden") this.inTurn(() => this.running?.sendOpen(true));
    };
    document.addEventListener("visibilitychange", hidden);
    this.undo.push(() => clearInterval(timer), () => document.removeEventListener("visibilitychange", hidden));
  }

  private wireCover(): void {
    const off = this.find("[data-uncover]");
    if (off) afterLongPress(off, () => this.cover(false));
    this.on("[data-cover-sheet] [data-stop]", () => this.cover(false));
  }

  private cover(on: boolean): void {
    const sheet = this.find("[data-cover-sheet]");
    if (on) this.goOn(); // what is covered is the face
    if (sheet) sheet.hidden = !on;
    buzz("cover");
  }

  /** What the face may ask of this session. */
  private session(open: OpenSession, section: HTMLElement): Session {
    const self = this;
    const stateFor = (state: unknown): FaceState => ({ name: self.faceName, state });
    return {
      kit: this.kit,
      levels: levelsFor(this.kit, this.kind),
      kind: this.kind,
      get doc() {
        return open.doc;
      },
      get plan() {
        return self.plan;
      },
      get state() {
        return open.stateOf(self.faceName);
      },
      now: () => open.ms(),
      on: (selector, fn, once = false) => self.on(selector, fn, section, once),
      inTurn: (fn) => self.inTurn(fn),
      answer: (answer, state) => self.answer(open, answer, state === undefined ? undefined : stateFor(state)),
      revise: (n, answer) => self.revise(open, n, answer),
      set: async (fields, state) => {
        await open.save(withFields(open.doc, fields), state == null ? state : stateFor(state));
        self.counted();
      },
      next: () => self.next(open.doc),
      picture: (of) => self.around.pictures.img(of?.picture),
      finish: () => self.finish(),
    };
  }

  private async answer(open: OpenSession, answer: Answer, state: FaceState | undefined): Promise<void> {
    const doc = answered(open.doc, answer, open.ms());
    if (!doc) return this.finish();
    if (state) await open.save(doc, state);
    else await open.tap(doc, doc.trials[doc.trials.length - 1]!);
    this.counted();
    if (answer.outcome === "declined") this.declined();
  }

  private async revise(open: OpenSession, n: number, answer: Answer | undefined): Promise<void> {
    const was = open.doc.trials.find((t) => t.n === n)?.answer;
    const doc = revised(open.doc, n, answer, open.ms());
    await open.tap(doc, doc.trials.find((t) => t.n === n)!);
    this.changes.push({ n, was });
    this.counted();
  }

  /** Shows what has just been stored. */
  private counted(): void {
    this.draw();
    const { face, doc } = this;
    if (!face || !doc || this.running?.stopped || doc.closing) return;
    this.show(face.enough() ? "enough" : "face");
    const n = inEffect(doc).length;
    const { spoken, next } = face.progress();
    const saved = say(this.keep.durable ? "recorder.ready" : "recorder.unkept", { n, m: this.plan });
    const text = spoken === undefined ? saved : spoken + (this.keep.durable ? "" : " " + say("recorder.unkept_stop"));
    announce(text + (next ? " " + say("recorder.next_card", { what: next }) : ""));
  }

  // The pages beside the face.

  /** What is written so far: each line can be put right, and the rare things are here. */
  private written(): void {
    if (!this.face || !this.open) return;
    this.each("[data-part=written] [data-several]", (e) => (e.hidden = !this.face?.several));
    drawWritten(this.root, this.face.written(), (nth, w) => this.inTurn(() => this.change(nth, w)));
    this.show("written");
  }

  private change(nth: number, w: Written): void {
    drawChoices(this.root, nth, w, (c) => this.inTurn(() => (c.now ? this.goOn() : c.choose())));
    this.show("change");
  }

  private brief(): void {
    fill(this.find("[data-brief-place]")!, [briefPage(this.kit)]);
    this.show("brief");
  }

  /** After a no: Stop is offered, and going on only after the first. */
  private declined(): void {
    const doc = this.doc;
    if (!doc || !this.open) return;
    const second = inEffect(doc).filter((t) => t.answer?.outcome === "declined").length > 1;
    const name = this.kit.learner;
    const text = (selector: string, key: string): void => this.each(selector, (e) => (e.textContent = say(key, { name })));
    text("[data-declined-title]", second ? "recorder.second_no" : "recorder.declined");
    text("[data-declined-text]", second ? "recorder.second_no_text" : "recorder.declined_text");
    text("[data-declined-saved]", this.keep.durable ? "recorder.declined_saved" : "recorder.unkept_stop");
    text("[data-came-back]", "recorder.came_back");
    this.each("[data-came-back]", (e) => (e.hidden = second));
    this.show("declined");
  }

  /** One question before a session ends early: it may have been the child's no. */
  private askToFinish(): void {
    const { face, doc } = this;
    if (!face || !doc || !this.open || face.holds?.()) return;
    const summary = face.summary();
    this.each("[data-ending-text]", (e) => (e.textContent = summary === "" ? say("recorder.finish_here_none") : summary + " " + say("recorder.finish_here_fine")));
    this.each("[data-ending-no]", (e) => (e.textContent = say("recorder.finish_here_no", { name: this.kit.learner })));
    this.each("[data-part=ending] [data-marks-all]", (e) => fill(e, face.progress().marks.map((t) => answerMark(this.kit, t.answer, "20"))));
    this.show("ending");
  }

  /** Ends it early because the adult says so: judged like any session, by what is in it. Nothing in it: nothing is kept. */
  private async finishHere(): Promise<void> {
    const open = this.running;
    if (!open || !this.face || open.doc.closing) return;
    const doc = this.measured(open, open.ms());
    if (!hasContent(doc) || this.face.summary() === "") {
      await this.keep.remove(doc.id);
      return this.around.go("/today");
    }
    await this.finishWith(open, this.face.enough() ? doc : withField(doc, "ended_early", "other"));
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
    if (this.ordered?.id !== doc.id) this.ordered = { id: doc.id, trials: sessionOrder(this.kit, keys, planOf(this.kit), doc.id, known) };
    return this.ordered.trials;
  }

  /** Several at once: a number of each, in row order, marked as entered afterward. */
  private async several(): Promise<void> {
    const open = this.running;
    if (!open) return;
    const doc = addSeveral(this.root, this.kit, levelsFor(this.kit, this.kind), open.doc, open.ms());
    if (doc === open.doc) return this.goOn();
    await open.save(doc.header.how.value === "afterwards" ? doc : withField(doc, "how", "afterwards"));
    this.each(".severalrow [data-n]", (e) => ((e as HTMLOutputElement).value = "0"));
    buzz("alone");
    this.counted();
  }

  private async back(): Promise<void> {
    const open = this.running;
    if (!open) return;
    if (!(await this.face?.undo?.()) && !(await this.takeBack(open))) return;
    this.goOn();
    announce(say("recorder.undone"));
    buzz("undo");
  }

  /** Takes back the last line that was put right, otherwise the last answer. */
  private async takeBack(open: OpenSession): Promise<boolean> {
    const change = this.changes[this.changes.length - 1];
    const taken = inEffect(open.doc).pop();
    if (!change && !taken) return false;
    const n = change ? change.n : taken!.n;
    const doc = change ? revised(open.doc, n, change.was, open.ms()) : undone(open.doc, open.ms());
    await open.tap(doc, doc.trials.find((t) => t.n === n)!);
    this.changes.pop();
    return true;
  }

  private draw(): void {
    const { doc, face } = this;
    if (!doc || !face) return;
    const { marks, text } = face.progress();
    this.each("[data-face] [data-marks]", (e) => this.drawMarks(e, marks.slice(-MOST_MARKS)));
    this.each("[data-so-far]", (e) => (e.textContent = text));
    this.each("[data-face] .corner [data-written]", (e) => e.setAttribute("aria-label", say("recorder.written_see", { text })));
    const all = (size: "20" | "32"): Node[] => marks.map((t) => answerMark(this.kit, t.answer, size));
    if (doc.closing !== undefined || face.enough()) {
      // Only then are these visible.
      this.each("[data-part=enough] [data-marks-all]", (e) => fill(e, all("20")));
      this.each("[data-enough-text]", (e) => (e.textContent = say("recorder.enough_text", { n: marks.length })));
    }
    if (doc.closing) this.each("[data-marks-large]", (e) => fill(e, all("32")));
    face.draw();
  }

  /** Draws the last marks. Those already drawn stay: a tap adds one and removes one. */
  private drawMarks(e: HTMLElement, last: RecordingDocument["trials"]): void {
    const nodes = last.map((t) => this.marks.get(t) ?? answerMark(this.kit, t.answer, "20"));
    this.marks = new Map(last.map((t, i) => [t, nodes[i]!]));
    Array.from(e.childNodes).forEach((c) => nodes.includes(c) || e.removeChild(c));
    nodes.forEach((n, i) => {
      if (e.childNodes[i] !== n) e.insertBefore(n, e.childNodes[i] ?? null);
    });
  }

  // The end.

  private async stop(): Promise<void> {
    const open = this.running;
    if (!open || open.stopped || open.doc.closing) return;
    const stopped = { at: Date.now(), ms: open.ms() };
    buzz("stop");
    // Shown at once: comfort comes first. Where it is stored is added when that is known.
    this.each("[data-kept]", (e) => (e.textContent = ""));
    this.each("[data-unstop], [data-other], [data-secs]", (e) => (e.hidden = false));
    this.show("stopped");
    const stored = open.stopNow(this.measured(open, stopped.ms), stopped);
    this.tick(open);
    await stored;
    this.each("[data-kept]", (e) => (e.textContent = say(this.keep.durable ? "recorder.saved" : "recorder.unkept_stop")));
  }

  /** The document with what a running clock has measured by then. */
  private measured(open: OpenSession, ms: number): RecordingDocument {
    return withFields(open.doc, this.face?.ending?.(ms) ?? {});
  }

  private tick(open: OpenSession): void {
    if (!open.stopped || this.running !== open) return; // undone, or closed in a different way
    const left = Math.ceil(open.left() / 1000);
    const out = this.find("[data-secs]");
    if (out) out.textContent = say("recorder.seconds_left", { n: Math.max(0, left) });
    if (left > 0) {
      window.setTimeout(() => this.tick(open), 250);
      return;
    }
    this.inTurn(() => this.closeStop());
  }

  /** What can no longer be changed is no longer offered. */
  private tooLate(): void {
    this.each("[data-unstop], [data-other], [data-secs]", (e) => (e.hidden = true));
  }

  private async closeStop(): Promise<void> {
    this.tooLate();
    if (await this.running?.closeStop()) await this.sent();
  }

  private async unstop(): Promise<void> {
    const open = this.running;
    if (!open?.stopped) return;
    if (!(await open.undoable())) return this.closeStop();
    await open.go();
    this.goOn();
  }

  private async somethingElse(): Promise<void> {
    const open = this.running;
    if (!open?.stopped) return;
    if (!(await open.undoable())) return this.closeStop();
    await this.finishWith(open, withField(open.doc, "ended_early", "other"));
  }

  private async finish(): Promise<void> {
    const open = this.running;
    if (!open || this.face?.holds?.()) return;
    if (!hasContent(this.measured(open, open.ms()))) return this.askToFinish(); // an empty session is none
    await this.finishWith(open, this.measured(open, open.ms()));
  }

  private async finishWith(open: OpenSession, doc: RecordingDocument): Promise<void> {
    if (doc.closing) return;
    await open.close(closed(doc, open.ms(), new Date()));
    this.showDone();
    await this.sent();
  }

  private showDone(): void {
    this.draw();
    const text = this.face?.summary() ?? "";
    this.each("[data-tries-text]", (e) => {
      e.textContent = text;
      e.hidden = text === "";
    });
    const other = (this.doc?.header.unfit?.value ?? []).map((c) => this.kit.fits?.[c] ?? "").filter((t) => t !== "");
    this.each("[data-unfit]", (e) => {
      e.textContent = say("recorder.unfit", { what: other.join(", ") });
      e.hidden = other.length === 0;
    });
    this.each("[data-kept]", (e) => (e.textContent = say(this.keep.durable ? "recorder.on_phone" : "recorder.unkept_stop")));
    this.show("done");
  }

  private async sent(): Promise<void> {
    this.face?.dispose?.();
    this.release?.();
    this.release = undefined;
    // The rest of the page does not wait for the network.
    void this.running?.sendClosed().then(async (sent) => {
      if (sent === "later") return this.around.outbox.now();
      this.each("[data-kept]", (e) => (e.textContent = say(sent === "held" ? "recorder.held" : "recorder.sent")));
      await this.around.outbox.show();
      this.around.outbox.onStored?.();
    });
  }

  private async leave(path: string): Promise<void> {
    // Leaving confirms the stop; the next page closes and sends it, should this one not get to it.
    if (this.running?.stopped) await this.closeStop();
    this.around.go(path);
  }
}

/** Marks what was just pressed, for as long as a second press of it does not count. */
function just(e: HTMLElement): void {
  e.dataset.just = "";
  window.setTimeout(() => delete e.dataset.just, SAME_WITHIN);
}

/** The kind that is chosen before the session; what is planned if nothing is. */
function kindIn(said: FormData, plan: Kind = "teaching"): Kind {
  return KINDS.find((kind) => kind === said.get("kind")) ?? plan;
}

/** Sets fields of a header, each in its next revision. */
function withFields(doc: RecordingDocument, fields: Fields): RecordingDocument {
  return (Object.keys(fields) as (keyof Fields)[]).reduce((d, name) => withField(d, name, fields[name] as NonNullable<Fields[typeof name]>), doc);
}
