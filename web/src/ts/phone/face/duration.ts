// How long something lasts, bout by bout: it starts, it stops. The clock is the wall clock, so that a bout goes on while
// the phone is locked; what has run for long is asked about.

import { allowSound, buzz, clockText, parseTime, part, say, signal } from "./base";
import { altogether, boutFields, boutPhase, corrected, doubtful, longest, neverHappened, NO_BOUTS, runsFor, started, stillGoing, stopped } from "./bouts";
import type { Bouts } from "./bouts";
import type { Choice, Face, FaceModule, Fields, Look, Session, Written } from "./face";
import { put, Timed } from "./timed";
import { showWhen } from "./when";
import type { History } from "./timed";

const SECOND = 1000;
const AWAY = 30 * SECOND; // for which the page was not seen, before asking whether it still goes on
const LINES = 2; // bouts shown above the clock; all are in what is written so far
const LONGER = [-60, -10, -5, 5, 10, 60]; // seconds by which a line can be put right

function section(_look: Look): HTMLElement {
  const root = part("t-face-duration").firstElementChild as HTMLElement;
  showWhen(root, "idle");
  return root;
}

/** What is asked about a bout that runs: whether it still does, or when it stopped. */
type Question = "doubt" | "finish" | "earlier";

class Duration extends Timed<Bouts> {
  private question: Question | undefined;
  private finishing = false;
  private awaySince = 0;

  constructor(root: HTMLElement, s: Session<History<Bouts>>) {
    super(root, s);
    this.press("[data-bout]", () => this.bout());
    this.press("[data-never]", () => this.move(neverHappened(this.bouts)));
    this.press("[data-done]", () => this.s.finish());
    this.press("[data-still]", () => this.still());
    this.press("[data-just-now]", () => this.end(0));
    this.press("[data-earlier]", () => this.ask("earlier"));
    this.find<HTMLFormElement>("form")?.addEventListener("submit", (event) => {
      event.preventDefault();
      s.inTurn(() => this.earlier());
    });
    if (this.bouts.since !== undefined) this.question = "doubt"; // the page was closed while it ran
  }

  private get bouts(): Bouts {
    return this.model ?? NO_BOUTS;
  }

  private async bout(): Promise<void> {
    const m = this.bouts, now = Date.now();
    allowSound();
    await this.move(m.since === undefined ? started(m, now) : stopped(m, now));
    buzz("alone");
  }

  private ask(question: Question | undefined): void {
    this.question = question;
    this.draw();
  }

  private async still(): Promise<void> {
    this.question = undefined;
    this.finishing = false;
    await this.move(stillGoing(this.bouts, Date.now()), false);
  }

  private async end(earlier: number): Promise<void> {
    const { finishing } = this;
    this.question = undefined;
    this.finishing = false;
    await this.move(stopped(this.bouts, Date.now(), earlier));
    buzz("alone");
    if (finishing) await this.s.finish();
  }

  private async earlier(): Promise<void> {
    const input = this.find<HTMLInputElement>("input")!;
    const ms = parseTime(input.value, "minutes");
    const wrong = ms === undefined || ms > runsFor(this.bouts, Date.now());
    input.setAttribute("aria-invalid", String(wrong));
    this.find("[data-wrong]")!.hidden = !wrong;
    if (wrong) return input.focus();
    input.value = "";
    await this.end(ms);
  }

  /** Finishing while it runs asks once when it stopped. */
  holds(): boolean {
    if (this.bouts.since === undefined || !this.live) return false;
    this.finishing = true;
    this.question = "finish";
    this.s.inTurn(() => this.s.set({})); // shows the question, whichever page is open
    return true;
  }

  override async undo(): Promise<boolean> {
    if (this.question === undefined) return super.undo();
    if (this.question === "earlier") this.ask(this.finishing ? "finish" : "doubt");
    else await this.still();
    return true;
  }

  protected override left(): void {
    this.awaySince = Date.now();
  }

  protected override woken(): void {
    if (this.awaySince > 0 && Date.now() - this.awaySince >= AWAY && this.bouts.since !== undefined) this.question ??= "doubt";
  }

  protected state(now: number): string {
    const m = this.bouts;
    if (m.since === undefined) return boutPhase(m) === "idle" && m.bouts.length > 0 ? "between" : boutPhase(m);
    return this.question ?? (doubtful(m, now) ? "doubt" : "running");
  }

  protected fields(m: Bouts | undefined, now: number, done: boolean): Fields {
    return boutFields(done ? stopped(m ?? NO_BOUTS, now) : (m ?? NO_BOUTS));
  }

  protected running(now: number): number | undefined {
    return this.bouts.since === undefined ? undefined : runsFor(this.bouts, now);
  }

  protected override onTime(phase: string): void {
    if (phase !== "doubt") return;
    this.question = "doubt";
    signal(this.root);
  }

  protected fill(phase: string, now: number): void {
    const m = this.bouts, n = m.bouts.length, ran = runsFor(m, now);
    put(this.root, "[data-number]", clockText(ran));
    this.root.querySelectorAll("[data-number]").forEach((e) => e.classList.toggle("run6", phase === "running"));
    put(this.root, "[data-bout] span", say(m.since === undefined ? "face.it_starts" : "face.it_stops"));
    put(this.root, "[data-nth]", phase === "running" ? say("face.nth_running", { n: n + 1 }) : "");
    put(this.root, "[data-together]", n === 0 && m.since === undefined ? say("face.together_none") : say("face.together", { time: clockText(altogether(m, now)) }));
    put(this.root, "[data-doubt-text]", say("face.ran_for", { time: clockText(ran) }) + (n > 0 ? " " + say("face.longest", { time: clockText(longest(m)) }) : ""));
    this.lines(m);
  }

  /** The last bouts; the list is drawn again only if it changed. */
  private lines(m: Bouts): void {
    const list = this.find("[data-bouts]")!;
    const drawn = JSON.stringify(m.bouts.slice(-LINES)) + String(m.bouts.length);
    if (list.dataset.drawn === drawn) return;
    list.dataset.drawn = drawn;
    list.textContent = "";
    m.bouts.slice(-LINES).forEach((b, i, shown) => {
      const nth = m.bouts.length - shown.length + i + 1;
      list.appendChild(part("t-bout", { t: { nth: say("face.nth", { n: nth }), time: lengthOf(b) } }));
    });
  }

  progress(): ReturnType<Face["progress"]> {
    const m = this.bouts, n = m.bouts.length;
    const text = n === 0 ? "" : say("face.times", { n });
    const spoken = m.never ? say("face.saved_never") : m.since !== undefined ? say("face.saved_running") : say("face.saved_times", { n });
    return { text, marks: [], spoken };
  }

  written(): Written[] {
    const m = this.bouts;
    if (m.never) return [{ name: say("face.summary_never"), label: "" }];
    return m.bouts.map((b, i) => ({ name: say("face.nth", { n: i + 1 }), label: lengthOf(b), choices: this.lengths(m, i) }));
  }

  private lengths(m: Bouts, i: number): Choice[] {
    const { ms } = m.bouts[i]!;
    const to = (seconds: number): Choice => ({ label: clockText(ms + seconds * SECOND), now: seconds === 0, choose: () => this.move(corrected(m, i, ms + seconds * SECOND)) });
    const by = LONGER.filter((s) => ms + s * SECOND > 0);
    return [...[...by, 0].sort((a, b) => a - b).map(to), { label: say("recorder.take_out"), now: false, choose: () => this.move(corrected(m, i, undefined)) }];
  }
}

const lengthOf = (b: { ms: number; estimated?: boolean }): string => (b.estimated ? say("face.about", { time: clockText(b.ms) }) : clockText(b.ms));

export const face: FaceModule = { section, attach: (root, session) => new Duration(root, session as Session<History<Bouts>>) };
