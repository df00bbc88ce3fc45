// The rail: one tap for each try, without help on the tread or with a level of help on its post.

import { answersOf, answerName, buzz, fill, inEffect, mark, nameTarget, part, placeOf, say, targetName, tokensEarned, whilePressed } from "./base";
import type { Answer } from "../contract";
import type { Choice, Face, FaceModule, Look, Session, Written } from "./face";

/** The posts of the help levels, the most help at the top. */
export function posts({ kit, levels }: Look): Node[] {
  const out: Node[] = levels.map((level, i) => {
    const f = part("t-post", { t: { level }, if: { planned: level === kit.planned_help }, slot: { mark: [mark("help-" + String(Math.min(i + 1, 4)), "20", "")] } });
    const button = f.querySelector("button")!;
    button.dataset.level = level;
    button.classList.toggle("plan", level === kit.planned_help);
    return f;
  });
  out.reverse();
  if (levels.length > 0) {
    const hand = document.createElement("i");
    hand.className = "hand";
    hand.setAttribute("aria-hidden", "true");
    out.unshift(hand);
  }
  return out;
}

function section(look: Look): HTMLElement {
  const f: DocumentFragment = part("t-face-rail", { if: { levels: look.levels.length > 0 }, slot: { rail: posts(look) } });
  const root = f.firstElementChild as HTMLElement;
  root.classList.toggle("bare", look.levels.length === 0);
  root.querySelector(".rail")?.classList.add("levels-" + String(Math.max(1, Math.min(look.levels.length, 5))));
  return root;
}

/** The answer that a button of the rail stands for. */
export function answerOf(kind: string, level: string | undefined): Answer {
  if (kind === "help" && level) return { outcome: "correct", help: level };
  if (kind === "not_yet") return { outcome: "incorrect" };
  if (kind === "no_response") return { outcome: kind, none: true };
  if (kind === "declined" || kind === "no_chance") return { outcome: kind };
  return { outcome: "correct" };
}

/** An answer to what the step's order plans next. */
export function planned(s: Pick<Session, "kit" | "next">, answer: Answer): Answer {
  const out = { ...answer };
  const { choices } = s.kit;
  const next = s.next();
  if (next?.target) out.target = next.target;
  if (choices >= 2) {
    out.choices = choices;
    // The position chosen follows from that of the right answer, unless there are several wrong ones.
    if (next?.position && answer.outcome === "correct") out.position = next.position;
    if (next?.position && answer.outcome === "incorrect" && choices === 2) out.position = 3 - next.position;
  }
  return out;
}

/** The lines of tries, each of which can become any other answer. */
export function writtenTries(s: Session): Written[] {
  return inEffect(s.doc).map((t, i) => {
    const choices: Choice[] = answersOf(s.kit, s.levels).map((a) => ({
      label: a.label,
      mark: mark(a.key, "20", ""),
      now: same(a.answer, t.answer),
      choose: () => s.revise(t.n, corrected(t.answer, a.answer)),
    }));
    choices.push({ label: say("recorder.take_out"), mark: undefined, now: false, choose: () => s.revise(t.n, undefined) });
    const name = targetName(s.kit, t, i + 1);
    return { name, label: answerName(s.kit, t.answer), mark: mark(answersOf(s.kit).find((a) => same(a.answer, t.answer))?.key ?? "alone", "20", ""), choices };
  });
}

const same = (a: Answer, b: Answer | undefined): boolean => a.outcome === b?.outcome && a.help === b.help;

/** What was asked stays; what was answered is replaced. The place chosen is not known any more. */
function corrected(was: Answer | undefined, to: Answer): Answer {
  const out: Answer = { ...to };
  if (was?.target !== undefined) out.target = was.target;
  if (was?.choices !== undefined) out.choices = was.choices;
  const timed = out.outcome === "correct" || out.outcome === "incorrect";
  if (timed && was?.latency_ms !== undefined) out.latency_ms = was.latency_ms;
  if (timed && was?.recovery_ms !== undefined) out.recovery_ms = was.recovery_ms;
  if (timed && was?.recovery_none) out.recovery_none = true;
  if (timed && was?.adjusted) out.adjusted = true;
  return out;
}

class Rail implements Face {
  readonly several = true;
  private readonly cards = new Map<string, Node[]>(); // by target, created once: a tap only moves them
  private card: string | undefined; // the current target and position
  private readonly tokens: HTMLElement[] = []; // created once; a tap only fills them

  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session,
  ) {
    const all = [...s.kit.targets, ...(s.kit.known ?? [])];
    for (const t of all) {
      const words = all.length > 1 ? t.card || t.name : "";
      this.cards.set(t.key, [...s.picture(t), ...(words === "" ? [] : [document.createTextNode(words)])]);
    }
    s.on("[data-answer]", (e) => this.answer(e.dataset.answer ?? "", e.dataset.level), true);
    const held = this.find("[data-press]");
    if (held) whilePressed(held, (on) => this.turn(held, on));
  }

  private find(selector: string): HTMLElement | null {
    return this.root.querySelector<HTMLElement>(selector);
  }

  private turn(card: HTMLElement, on: boolean): void {
    const text = card.querySelector<HTMLElement>("[data-press-text]");
    const target = card.querySelector<HTMLElement>("[data-press-card]");
    if (text) text.hidden = on;
    if (target) target.hidden = !on;
  }

  private async answer(kind: string, level: string | undefined): Promise<void> {
    await this.s.answer(planned(this.s, answerOf(kind, level)));
    buzz(kind);
  }

  draw(): void {
    this.drawCard();
    this.drawTokens();
  }

  progress(): ReturnType<Face["progress"]> {
    const marks = inEffect(this.s.doc);
    return { text: say("recorder.of", { n: Math.min(marks.length + 1, this.s.plan), m: this.s.plan }), marks, next: this.cardName() };
  }

  enough(): boolean {
    return inEffect(this.s.doc).length >= this.s.plan;
  }

  summary(): string {
    const n = inEffect(this.s.doc).length;
    return n === 0 ? "" : say("recorder.done_tries", { n });
  }

  written(): Written[] {
    return writtenTries(this.s);
  }

  /** The card that comes next, in words; empty if there is only one. */
  private cardName(): string {
    const { kit } = this.s;
    const all = [...kit.targets, ...(kit.known ?? [])];
    const next = all.length > 1 && !kit.held ? all.find((t) => t.key === this.s.next()?.target) : undefined;
    return next ? next.card || next.name : "";
  }

  private drawCard(): void {
    const next = this.s.next();
    const drawn = (next?.target ?? "") + " " + String(next?.position ?? "");
    if (drawn === this.card) return;
    this.card = drawn;
    const card = [...(this.cards.get(next?.target ?? "") ?? []), ...placeOf(next?.position, this.s.kit.choices)];
    const pressToShow = this.s.kit.held === true && card.length > 0;
    const open = this.find("[data-card]"), pressed = this.find("[data-press]");
    if (open) open.hidden = pressToShow;
    if (pressed) pressed.hidden = !pressToShow;
    const shown = this.find(pressToShow ? "[data-press-card]" : "[data-card]");
    if (shown) fill(shown, card);
    const { targets, known, held } = this.s.kit;
    // A card that is held up is kept from the child, and so is its name.
    if (held !== true) nameTarget(this.root, [...targets, ...(known ?? [])].find((t) => t.key === next?.target)?.name ?? "");
  }

  /** The tokens earned so far, if the step has tokens. */
  private drawTokens(): void {
    const n = this.s.kit.tokens ?? 0;
    const row = this.find("[data-tokens]");
    if (!row || n < 1) return;
    if (this.tokens.length === 0) {
      for (let i = 0; i < n; i++) this.tokens.push(row.appendChild(document.createElement("i")));
      row.appendChild(document.createElement("b")).textContent = say("recorder.exchange");
      row.hidden = false;
    }
    const have = tokensEarned(inEffect(this.s.doc).map((t) => t.answer?.outcome), n);
    this.tokens.forEach((e, i) => e.classList.toggle("on", i < have));
    row.classList.toggle("full", have === n);
    row.setAttribute("aria-label", have === n ? say("recorder.exchange") : say("recorder.tokens", { n: have, m: n }));
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Rail(root, session) };
