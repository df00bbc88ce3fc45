// Seconds to an answer: one tap as the words end, and the answer itself ends the time.

import { allowSound, part, say, signal } from "./base";
import { overRail, railWith, renamed, enter, Ticker } from "./over";
import type { Answer } from "../contract";
import type { Face, FaceModule, Look, Session } from "./face";

/** When the words were said, by this phone's clock. */
interface Asked {
  asked: number;
}

/** An answer with the seconds it took. Nothing within the limit is never a number; a no or no turn has none. */
export function timed(answer: Answer, ms: number): Answer {
  if (answer.outcome === "no_response") return { ...answer, none: true };
  if (answer.outcome !== "correct" && answer.outcome !== "incorrect") return answer;
  return { ...answer, latency_ms: Math.max(0, Math.round(ms)) };
}

function section(look: Look): HTMLElement {
  const limit = look.kit.limit_seconds ?? 0;
  const root = overRail(look, "latency", part("t-face-latency", { t: { limit: limit > 0 ? say("face.latency_limit", { n: limit }) : "" } }));
  if (limit > 0) renamed(root, "no_response", say("face.latency_none", { n: limit }));
  return root;
}

class Latency implements Face {
  readonly several = true;
  private readonly rail: Face;
  private readonly clock: Ticker;

  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session<Asked | null>,
  ) {
    this.rail = railWith(root, s, { answer: (a) => this.answer(a) });
    const out = root.querySelector<HTMLElement>("[data-seconds]");
    this.clock = new Ticker((ms) => out && (out.textContent = String(Math.floor(ms / 1000))), () => signal(root), 1000 * (s.kit.limit_seconds ?? 0));
    s.on("[data-said]", () => {
      allowSound();
      return s.set({}, { asked: Date.now() });
    }, true);
    s.on("[data-no-turn]", () => s.answer({ outcome: "no_chance" }), true);
  }

  private get asked(): number | undefined {
    return this.s.state?.asked;
  }

  private async answer(answer: Answer): Promise<void> {
    const asked = this.asked;
    await this.s.answer(asked === undefined ? answer : timed(answer, Date.now() - asked), null);
  }

  draw(): void {
    enter(this.root, this.asked === undefined ? "before" : "waiting");
    this.clock.from(this.asked);
    this.rail.draw();
  }

  progress(): ReturnType<Face["progress"]> {
    const progress = this.rail.progress();
    return this.asked === undefined ? progress : { ...progress, spoken: say("face.latency_spoken") };
  }

  enough = (): boolean => this.rail.enough();
  summary = (): string => this.rail.summary();
  written = (): ReturnType<Face["written"]> => this.rail.written();

  async undo(): Promise<boolean> {
    if (this.asked === undefined) return false;
    await this.s.set({}, null);
    return true;
  }

  dispose(): void {
    this.clock.from(undefined);
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Latency(root, session as Session<Asked | null>) };
