// Intervals: at the end of each one a buzz, one look, one tap. What nobody answered in time was not seen, and is left out.

import { allowSound, buzz, clockText, mark, part, say, signal } from "./base";
import type { Choice, Face, FaceModule, Fields, Look, Session, Written } from "./face";
import { answeredNow, early, endedBy, intervalFields, intervalsOf, put as putSeen, results, toAnswer, whereIn } from "./sampling";
import type { Intervals, Sampling, Where } from "./sampling";
import { put, Timed } from "./timed";
import { showWhen } from "./when";
import type { History } from "./timed";

const SECOND = 1000;
const MOST_MARKS = 24; // that fit on the smallest phone

function section({ kit }: Look): HTMLElement {
  const p = intervalsOf(kit)!;
  const f: DocumentFragment = part("t-face-intervals", {
    t: { plan: say("face.interval_plan", { n: p.n, seconds: p.ms / SECOND }), how: say(`face.how_${p.kind}`), kind: say(`face.kind_${p.kind}`) },
  });
  const root = f.firstElementChild as HTMLElement;
  root.dataset.kind = p.kind;
  showWhen(root, "before");
  return root;
}

class Sampled extends Timed<Sampling> {
  private readonly p: Intervals;
  private ended = 0; // intervals whose end was signaled

  constructor(root: HTMLElement, s: Session<History<Sampling>>) {
    super(root, s);
    this.p = intervalsOf(s.kit)!;
    this.ended = this.model ? endedBy(this.model, this.p, Date.now()) : 0;
    this.press("[data-start]", () => this.begin());
    this.press("[data-yes]", () => this.answer(true));
    this.press("[data-no]", () => this.answer(false));
    this.press("[data-done]", () => this.s.finish());
  }

  private begin(): Promise<void> {
    allowSound();
    this.ended = 0;
    return this.move({ start: Date.now(), seen: [] });
  }

  private async answer(yes: boolean): Promise<void> {
    const m = this.model;
    const next = m && answeredNow(m, this.p, Date.now(), yes);
    if (!next || next === m) return;
    await this.move(next);
    buzz(yes ? "alone" : "not_yet");
  }

  /** What is asked about at the end of an interval is the same as while it ran. */
  protected override settles(phase: string, before: string | undefined): boolean {
    return phase !== "asked" || before !== "watching";
  }

  private where(now: number): Where {
    return whereIn(this.model, this.p, now);
  }

  protected state(now: number): string {
    return this.where(now).phase;
  }

  protected fields(m: Sampling | undefined, now: number, done: boolean): Fields {
    return intervalFields(m, this.p, now, done);
  }

  protected running(): number | undefined {
    return undefined; // reading out each minute would cover the questions
  }

  protected override wakeful(phase: string): boolean {
    return phase !== "before" && phase !== "over";
  }

  protected fill(phase: string, now: number): void {
    const { k, left } = this.where(now);
    const asked = phase === "asked";
    this.ring(now);
    put(this.root, "[data-interval]", say("face.interval_of", { n: k, m: this.p.n }));
    put(this.root, "[data-left]", asked || phase === "over" ? "" : say("face.left", { time: clockText(left + SECOND - 1) }));
    put(this.root, "[data-note]", this.note(phase));
    const first = early(this.p);
    this.able("[data-yes]", asked || (phase === "watching" && first === true), "face.yes", "face.yes_later");
    this.able("[data-no]", asked || (phase === "watching" && first === false), "face.no", "face.no_later");
    this.marks(now);
  }

  /** Signals the end of an interval once; those that a phone slept through are not made up for. */
  private ring(now: number): void {
    const m = this.model;
    if (!m || !this.live) return;
    const ended = endedBy(m, this.p, now);
    const late = now - (m.start + ended * this.p.ms);
    if (ended > this.ended && late < toAnswer(this.p)) signal(this.root);
    this.ended = ended;
  }

  private able(selector: string, can: boolean, now: string, later: string): void {
    const button = this.find<HTMLButtonElement>(selector);
    if (!button) return;
    button.disabled = !can;
    button.classList.toggle("off", !can);
    put(button, "span", say(can ? now : later));
  }

  private note(phase: string): string {
    if (phase === "asked") return say("face.asked", { n: Math.round(toAnswer(this.p) / SECOND) });
    if (phase === "waiting") return say("face.waiting");
    return phase === "watching" ? say(`face.watch_${this.p.kind}`) : "";
  }

  /** A row of marks: yes, no, not seen, the one that runs, those to come. Drawn again only if one changed. */
  private marks(now: number): void {
    const row = this.find("[data-row]")!;
    const m = this.model;
    const all = m ? results(m, this.p, now) : [];
    const { k, phase } = this.where(now);
    const drawn = JSON.stringify([all, k, phase]);
    if (row.dataset.drawn === drawn) return;
    row.dataset.drawn = drawn;
    row.textContent = "";
    const from = Math.max(0, Math.min(k - MOST_MARKS + 4, this.p.n - MOST_MARKS));
    for (let i = from; i < Math.min(this.p.n, from + MOST_MARKS); i++) {
      const seen = all[i];
      if (seen !== undefined && (i + 1 !== k || seen !== null || phase === "over")) row.appendChild(markOf(seen));
      else row.appendChild(document.createElement("i")).className = i + 1 === k && phase !== "before" ? "cur" : "tocome";
    }
    row.setAttribute("aria-label", this.tally(all));
  }

  private tally(all: (boolean | null)[]): string {
    const n = (what: boolean | null): number => all.filter((s) => s === what).length;
    return say("face.tally", { yes: n(true), no: n(false), unseen: n(null) });
  }

  progress(): ReturnType<Face["progress"]> {
    const m = this.model;
    const all = m ? results(m, this.p, Date.now()) : [];
    return { text: m ? say("recorder.of", { n: all.filter((s) => s !== null).length, m: this.p.n }) : "", marks: [], spoken: m ? say("face.saved") + " " + this.tally(all) : say("face.saved") };
  }

  written(): Written[] {
    const m = this.model;
    if (!m) return [];
    return results(m, this.p, Date.now()).map((seen, i) => ({
      name: say("face.interval", { n: i + 1 }),
      label: say(nameOf(seen)),
      mark: markOf(seen),
      choices: [true, false, null].map<Choice>((to) => ({ label: say(nameOf(to)), mark: markOf(to), now: to === seen, choose: () => this.move(putSeen(this.model ?? m, i + 1, to)) })),
    }));
  }
}

const nameOf = (seen: boolean | null): string => (seen === null ? "face.not_seen" : seen ? "face.yes" : "face.no");

/** Yes and no have the marks of answers; not seen is the ground line only. */
function markOf(seen: boolean | null): Node {
  if (seen !== null) return mark(seen ? "alone" : "not_yet", "20", "");
  const line = document.createElement("i");
  line.className = "gone";
  return line;
}

export const face: FaceModule = { section, attach: (root, session): Face => new Sampled(root, session as Session<History<Sampling>>) };
