// Seconds to recover, beside an answer: one tap when it happens, one when the child is steady again, then how it went.

import { allowSound, clockText, parseTime, part, say, signal } from "./base";
import { overRail, railWith, renamed, enter, Ticker } from "./over";
import type { Answer } from "../contract";
import type { Face, FaceModule, Look, Session } from "./face";

/** Where the present try is. */
export interface Recovering {
  /** When it happened, by this phone's clock. */
  from: number;
  /** How long it took; undefined while it goes on, null if it was not within the limit. */
  ms?: number | null;
  /** Whether a person changed the seconds. */
  adjusted?: true;
  /** Whether the seconds are being changed. */
  changing?: true;
}

/** An answer with how long it took to be steady again. A no or no turn has no such time. */
export function recovered(answer: Answer, r: Recovering | null | undefined): Answer {
  if (!r || r.ms === undefined || answer.outcome === "declined" || answer.outcome === "no_chance") return answer;
  if (r.ms === null) return { ...answer, recovery_none: true };
  return { ...answer, recovery_ms: Math.max(0, Math.round(r.ms)), ...(r.adjusted ? { adjusted: true } : {}) };
}

function section(look: Look): HTMLElement {
  const n = look.kit.limit_seconds ?? 0;
  const root = overRail(look, "recovery", part("t-face-recovery", { t: { limit: n > 0 ? say("face.recovery_limit", { n }) : "", none: say("face.recovery_none", { n }) } }));
  renamed(root, "alone", say("face.recovery_steady"));
  renamed(root, "not_yet", say("face.recovery_not_steady"));
  return root;
}

class Recovery implements Face {
  readonly several = true;
  private readonly rail: Face;
  private readonly clock: Ticker;

  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session<Recovering | null>,
  ) {
    this.rail = railWith(root, s, { answer: (a) => this.s.answer(recovered(a, this.s.state), null) });
    const out = root.querySelector<HTMLElement>("[data-seconds]");
    this.clock = new Ticker((ms) => out && (out.textContent = clockText(ms)), () => signal(root), 1000 * (s.kit.limit_seconds ?? 0));
    s.on("[data-happened]", () => {
      allowSound();
      return s.set({}, { from: Date.now() });
    }, true);
    s.on("[data-steady]", () => this.to((r) => ({ ...r, ms: Date.now() - r.from })), true);
    s.on("[data-not-within]", () => this.to((r) => ({ ...r, ms: null })), true);
    s.on("[data-change]", () => this.to((r) => ({ ...r, changing: true })));
    s.on("[data-keep-seconds]", () => this.keep());
    s.on("[data-no-turn]", () => s.answer({ outcome: "no_chance" }), true);
  }

  private async to(change: (r: Recovering) => Recovering): Promise<void> {
    const now = this.s.state;
    if (now) await this.s.set({}, change(now));
  }

  private async keep(): Promise<void> {
    const input = this.root.querySelector<HTMLInputElement>("[data-typed-seconds]");
    const error = this.root.querySelector<HTMLElement>("[data-typed-error]");
    const ms = parseTime(input?.value ?? "", "seconds");
    if (error) error.hidden = ms !== undefined;
    input?.setAttribute("aria-invalid", String(ms === undefined));
    if (ms === undefined) return input?.focus();
    await this.to(({ changing: _, ...r }) => ({ ...r, ms, adjusted: true }));
  }

  private stage(): "before" | "running" | "answer" | "changing" {
    const now = this.s.state;
    if (!now) return "before";
    if (now.changing) return "changing";
    return now.ms === undefined ? "running" : "answer";
  }

  draw(): void {
    const stage = this.stage(), now = this.s.state;
    enter(this.root, stage);
    this.clock.from(stage === "running" ? now?.from : undefined);
    const said = this.root.querySelector<HTMLElement>("[data-back-after]");
    const seconds = Math.round((now?.ms ?? 0) / 1000);
    if (said && now?.ms !== undefined) said.textContent = now.ms === null ? say("face.recovery_none", { n: this.s.kit.limit_seconds ?? 0 }) : say("face.recovery_after", { n: seconds });
    const input = this.root.querySelector<HTMLInputElement>("[data-typed-seconds]");
    if (input && stage === "changing" && document.activeElement !== input) {
      input.value = now?.ms == null ? "" : String(seconds);
      input.focus();
    }
    this.rail.draw();
  }

  progress(): ReturnType<Face["progress"]> {
    const progress = this.rail.progress(), stage = this.stage();
    if (stage === "before") return progress;
    const said = this.root.querySelector("[data-back-after]")?.textContent ?? "";
    return { ...progress, spoken: stage === "running" ? say("face.recovery_spoken") : said };
  }

  enough = (): boolean => this.rail.enough();
  summary = (): string => this.rail.summary();
  written = (): ReturnType<Face["written"]> => this.rail.written();

  /** One step back: to the seconds that ran, or to before it happened. */
  async undo(): Promise<boolean> {
    const now = this.s.state;
    if (!now) return false;
    if (now.changing) await this.to(({ changing: _, ...r }) => r);
    else if (now.ms !== undefined) await this.s.set({}, { from: now.from });
    else await this.s.set({}, null);
    return true;
  }

  dispose(): void {
    this.clock.from(undefined);
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Recovery(root, session as Session<Recovering | null>) };
