// How often something happens: +1 is the whole foot. With a clock, so that sessions of different lengths can be compared;
// without one, the minutes are asked at the end.

import { allowSound, buzz, clockText, parseTime, part, say, signal } from "./base";
import { countFields, countPhase, mayBeLate, pausedOrNot, ranFor, startClock, tapped, withoutClock } from "./counting";
import type { Counting } from "./counting";
import type { Face, FaceModule, Fields, Look, Session, Written } from "./face";
import { put, Timed } from "./timed";
import { showWhen } from "./when";
import type { History } from "./timed";

const MINUTE = 60_000;
const NEAR = 3; // how many more or fewer a line can be put right to

function section({ kit }: Look): HTMLElement {
  const limited = kit.minutes > 0;
  const f: DocumentFragment = part("t-face-count", {
    t: { of: limited ? say("face.of_minutes", { n: kit.minutes }) : "", over: limited ? say("face.minutes_over", { n: kit.minutes }) : "" },
    if: { limited, unlimited: !limited },
  });
  const root = f.firstElementChild as HTMLElement;
  showWhen(root, "before");
  return root;
}

class Count extends Timed<Counting> {
  private asking = false; // how many minutes it took

  constructor(root: HTMLElement, s: Session<History<Counting>>) {
    super(root, s);
    this.press("[data-start]", () => this.begin(startClock(Date.now())));
    this.press("[data-no-clock]", () => this.begin(withoutClock()));
    this.press("[data-more]", () => this.tap(1));
    this.press("[data-less]", () => this.tap(-1));
    this.press("[data-pause]", () => this.change((m) => pausedOrNot(m, this.limit, Date.now())));
    this.press("[data-done]", () => this.done());
    this.find<HTMLFormElement>("form")?.addEventListener("submit", (event) => {
      event.preventDefault();
      s.inTurn(() => this.minutes());
    });
  }

  /** When the clock stops by itself, in ms; 0: never. */
  private get limit(): number {
    return this.s.kit.minutes * MINUTE;
  }

  private begin(m: Counting): Promise<void> {
    allowSound();
    return this.move(m);
  }

  private async change(to: (m: Counting) => Counting): Promise<void> {
    const m = this.model;
    const next = m && to(m);
    if (next && next !== m) await this.move(next);
  }

  private async tap(by: 1 | -1): Promise<void> {
    await this.change((m) => tapped(m, by, this.limit, Date.now()));
    buzz(by > 0 ? "alone" : "undo");
  }

  private async done(): Promise<void> {
    if (this.model?.clock === false) {
      this.asking = true;
      this.draw();
      this.find<HTMLInputElement>("input")?.focus();
      return;
    }
    await this.s.finish();
  }

  /** The minutes may be left out: then the count is kept, and no rate is made up. */
  private async minutes(): Promise<void> {
    const input = this.find<HTMLInputElement>("input")!;
    const said = input.value.trim() === "" ? null : parseTime(input.value, "minutes");
    const wrong = said === undefined || said === 0;
    input.setAttribute("aria-invalid", String(wrong));
    this.find("[data-wrong]")!.hidden = !wrong;
    if (wrong) return input.focus();
    if (said !== null) await this.change((m) => ({ ...m, said }));
    await this.s.finish();
  }

  override async undo(): Promise<boolean> {
    if (!this.asking) return super.undo();
    this.asking = false;
    this.draw();
    return true;
  }

  protected state(now: number): string {
    return this.asking ? "asking" : countPhase(this.model, this.limit, now);
  }

  protected fields(m: Counting | undefined, now: number): Fields {
    return countFields(m, this.limit, now);
  }

  protected running(now: number): number | undefined {
    const m = this.model;
    return m && countPhase(m, this.limit, now) === "running" ? ranFor(m, this.limit, now) : undefined;
  }

  protected override wakeful(phase: string): boolean {
    return phase === "running";
  }

  protected override onTime(phase: string): void {
    if (phase === "over") signal(this.root);
  }

  protected fill(phase: string, now: number): void {
    const m = this.model, n = m?.count ?? 0;
    put(this.root, "[data-number]", String(n));
    this.root.querySelectorAll("[data-number]").forEach((e) => e.classList.toggle("run6", phase === "running" || phase === "unclocked"));
    put(this.root, "[data-time]", m ? clockText(ranFor(m, this.limit, now)) : "");
    put(this.root, "[data-note]", this.note(phase));
    const late = this.find("[data-late]");
    if (late) late.hidden = m === undefined || !mayBeLate(m, this.limit, now);
    this.root.querySelectorAll<HTMLButtonElement>("[data-less]").forEach((e) => (e.disabled = n === 0));
  }

  private note(phase: string): string {
    if (phase === "before") return say("face.nothing_counts");
    if (phase === "paused") return say("face.paused");
    if (phase === "over") return say("face.clock_stopped", { time: clockText(this.limit) });
    return "";
  }

  progress(): ReturnType<Face["progress"]> {
    const n = this.model?.count;
    const text = n === undefined ? "" : say("face.times", { n });
    return { text, marks: [], spoken: say("face.saved_times", { n: n ?? 0 }) };
  }

  written(): Written[] {
    const m = this.model;
    if (!m) return [];
    const from = Math.max(0, m.count - NEAR);
    const choices = Array.from({ length: m.count + NEAR - from + 1 }, (_, i) => from + i).map((n) => ({
      label: say("face.times", { n }),
      now: n === m.count,
      choose: () => this.move({ ...m, count: n }),
    }));
    const time = m.clock ? clockText(ranFor(m, this.limit, Date.now())) : say("face.no_clock_used");
    return [
      { name: say("face.line_count"), label: say("face.times", { n: m.count }), choices },
      { name: say("face.line_time"), label: time },
    ];
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Count(root, session as Session<History<Counting>>) };
