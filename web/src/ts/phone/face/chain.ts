// The parts of an activity, in their order. One stands on a part: one tap writes it and goes on to the next. Parts
// that the plan gives to the adult are written as the adult's and skipped; nothing is filled in for the child.

import { answerMark, fill, inEffect, part, say } from "./base";
import { overRail, railWith } from "./over";
import { planned } from "./rail";
import type { Answer, Kit, Target, Trial } from "../contract";
import type { Face, FaceModule, Look, Session } from "./face";

/** Whether the child does a part; if not, the adult does it as planned. */
export const isTaught = (kit: Kit, key: string): boolean => kit.taught === undefined || kit.taught.includes(key);

/** How many trials the planned runs have. plan: the recorder's, which One more raises. */
export function plannedTrials(kit: Kit, plan: number): number {
  const parts = Math.max(1, kit.targets.length);
  const own = Math.max(1, kit.taught?.length ?? parts);
  const base = Math.max(1, Math.round(kit.trials / own)) * parts;
  return plan > base ? Math.ceil(plan / parts) * parts : base;
}

/** The adult's parts that come next, by plan, and the child's part after them. done: how many trials are written. */
export function adultsNext(kit: Kit, done: number): Target[] {
  const parts = kit.targets;
  const out: Target[] = [];
  for (let i = done; i < done + parts.length; i++) {
    const next = parts[i % parts.length];
    if (!next || isTaught(kit, next.key) || (i > done && i % parts.length === 0)) break;
    out.push(next);
  }
  return out;
}

/** How many of the last trials one Undo takes back: the adult's parts at the end, and the answer before them. */
export function undoCount(kit: Kit, trials: Trial[]): number {
  let n = 0;
  for (const t of [...trials].reverse()) {
    n++;
    if (t.answer?.outcome !== "adult_part" || isTaught(kit, t.answer.target ?? "")) return n;
  }
  return 0; // only what the plan wrote
}

function section(look: Look): HTMLElement {
  const root = overRail(look, "chain", part("t-face-chain"));
  const second = root.querySelector(".second");
  second?.replaceWith(part("t-chain-second"));
  return root;
}

class Chain implements Face {
  private readonly rail: Face;

  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session,
  ) {
    this.rail = railWith(root, s, { answer: (a) => this.answer(a), next: () => ({ target: this.current?.key ?? "" }) });
    s.on("[data-adult]", () => this.answer({ outcome: "adult_part", ...(this.current ? { target: this.current.key } : {}) }), true);
    s.inTurn(() => this.adults());
  }

  private get done(): Trial[] {
    return inEffect(this.s.doc);
  }

  private get current(): Target | undefined {
    const parts = this.s.kit.targets;
    return parts[this.done.length % Math.max(1, parts.length)];
  }

  private async answer(answer: Answer): Promise<void> {
    await this.s.answer(answer.target === undefined ? planned({ kit: this.s.kit, next: () => ({ target: this.current?.key ?? "" }) }, answer) : answer);
    if (answer.outcome !== "declined") await this.adults();
  }

  /** Writes the parts that the adult does by plan, as far as the next part of the child's. */
  private async adults(): Promise<void> {
    if (this.s.doc.closing || this.enough()) return;
    for (const t of adultsNext(this.s.kit, this.done.length)) await this.s.answer({ outcome: "adult_part", target: t.key });
  }

  draw(): void {
    const { targets } = this.s.kit;
    const n = this.done.length, at = n % Math.max(1, targets.length);
    const text = (selector: string, words: string): void => {
      const e = this.root.querySelector<HTMLElement>(selector);
      if (!e) return;
      e.textContent = words;
      const line = e.closest<HTMLElement>("li") ?? e;
      line.hidden = words === "";
    };
    const before = at > 0 ? this.done[n - 1] : undefined;
    text("[data-before-part]", before ? (targets[at - 1]?.name ?? "") : "");
    const mark = this.root.querySelector<HTMLElement>("[data-before-mark]");
    if (mark) fill(mark, before ? [answerMark(this.s.kit, before.answer, "20")] : []);
    text("[data-part-name]", targets[at]?.card || targets[at]?.name || "");
    const next = targets[at + 1];
    text("[data-after-part]", next ? say("face.chain_then", { part: next.name }) : "");
    const today = this.root.querySelector<HTMLElement>("[data-today-part]");
    if (today) today.hidden = this.s.kit.taught_part !== targets[at]?.key;
    this.rail.draw();
    const card = this.root.querySelector<HTMLElement>("[data-card]"); // its name is above
    if (card) fill(card, this.s.picture(targets[at]));
  }

  progress(): ReturnType<Face["progress"]> {
    const parts = Math.max(1, this.s.kit.targets.length), n = this.done.length;
    const text = say("face.chain_part", { n: (n % parts) + 1, m: parts });
    return { text, marks: this.done, spoken: this.enough() ? say("recorder.ready", { n: parts, m: parts }) : say("face.chain_spoken", { part: this.current?.name ?? "", n: (n % parts) + 1, m: parts }) };
  }

  enough(): boolean {
    return this.done.length >= plannedTrials(this.s.kit, this.s.plan);
  }

  summary(): string {
    const own = this.done.filter((t) => t.answer?.outcome !== "adult_part").length;
    return own === 0 ? "" : say("face.chain_done", { n: own });
  }

  written(): ReturnType<Face["written"]> {
    const adult = say("face.chain_adult");
    return this.rail.written().map((line, i) => {
      const t = this.done[i];
      const isAdult = t?.answer?.outcome === "adult_part";
      const mine = { label: adult, now: isAdult, choose: () => this.s.revise(t!.n, { outcome: "adult_part", ...(t?.answer?.target ? { target: t.answer.target } : {}) }) };
      return { ...line, label: isAdult ? adult : line.label, ...(line.choices ? { choices: [...line.choices, mine] } : {}) };
    });
  }

  async undo(): Promise<boolean> {
    const n = undoCount(this.s.kit, this.done);
    for (let i = 0; i < n; i++) {
      const last = this.done.pop();
      if (last) await this.s.revise(last.n, undefined);
    }
    return true;
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Chain(root, session) };
