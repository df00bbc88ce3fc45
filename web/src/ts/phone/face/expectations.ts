// Several expectations in one try: each is answered by itself, or all at once on the tread.

import { answerMark, buzz, inEffect, part, say } from "./base";
import type { Answer, Expected, Kit, Trial } from "../contract";
import type { Choice, Face, FaceModule, Look, Session, Written } from "./face";

/** What has been touched of the present try, by expectation. */
export type Touched = Record<string, { outcome: "correct" | "incorrect"; help?: string }>;

/** The answer of a try. What was not touched is without help if nothing was; otherwise there was no turn for it. */
export function combined(kit: Kit, touched: Touched): Answer {
  const all = kit.expectations ?? [];
  const untouched = all.every((e) => touched[e.key] === undefined);
  return fromExpected(kit, all.map((e) => {
    const t = touched[e.key];
    if (!t) return { key: e.key, outcome: untouched ? "correct" : "no_chance" };
    return { key: e.key, outcome: t.outcome, ...(t.help ? { help: t.help } : {}) };
  }));
}

/** The answer that follows from the expectations: right when all are, with the most help that any of them needed. */
export function fromExpected(kit: Kit, expected: Expected[]): Answer {
  if (expected.some((e) => e.outcome === "incorrect")) return { outcome: "incorrect", expected };
  const right = expected.filter((e) => e.outcome === "correct");
  if (right.length === 0) return { outcome: "no_chance", expected };
  const most = Math.max(...right.map((e) => kit.help_levels.indexOf(e.help ?? "")));
  return most < 0 ? { outcome: "correct", expected } : { outcome: "correct", help: kit.help_levels[most]!, expected };
}

/** The level that one press of Help means, and the next one a further press. */
export function nextHelp(levels: string[], planned: string, now: string | undefined): string | undefined {
  if (levels.length === 0) return undefined;
  const at = now === undefined ? Math.max(0, levels.indexOf(planned)) : (levels.indexOf(now) + 1) % levels.length;
  return levels[at];
}

function section(look: Look): HTMLElement {
  const f = part("t-face-expectations", {
    slot: {
      expectations: (look.kit.expectations ?? []).map((e) => {
        const row = part("t-expectation", { t: { name: e.name }, if: { levels: look.levels.length > 0 } });
        const group = row.firstElementChild as HTMLElement;
        group.dataset.key = e.key;
        group.setAttribute("aria-label", e.name);
        return row;
      }),
    },
  });
  return f.firstElementChild as HTMLElement;
}

class Expectations implements Face {
  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session<Touched | null>,
  ) {
    s.on("[data-exp]", (e) => this.touch(e.closest<HTMLElement>("[data-key]")?.dataset.key ?? "", e.dataset.exp ?? ""), true);
    s.on("[data-write]", () => this.write(), true);
    s.on("[data-answer]", (e) => this.whole(e.dataset.answer === "declined" ? "declined" : "no_chance"), true);
  }

  private get touched(): Touched {
    return this.s.state ?? {};
  }

  private async touch(key: string, what: string): Promise<void> {
    const now = this.touched[key];
    const next: Touched = { ...this.touched };
    const help = what === "help" ? nextHelp(this.s.levels, this.s.kit.planned_help, now?.help) : undefined;
    if (what === "not_yet") next[key] = { outcome: "incorrect" };
    else next[key] = help === undefined ? { outcome: "correct" } : { outcome: "correct", help };
    await this.s.set({}, next);
    buzz(what);
  }

  private async write(): Promise<void> {
    const answer = combined(this.s.kit, this.touched);
    await this.s.answer(answer, null);
    buzz(answer.outcome === "correct" ? "alone" : "not_yet");
  }

  private async whole(outcome: "declined" | "no_chance"): Promise<void> {
    await this.s.answer({ outcome }, null);
    buzz(outcome);
  }

  draw(): void {
    const all = this.s.kit.expectations ?? [];
    for (const e of all) this.drawOne(e.key);
    const open = all.filter((e) => this.touched[e.key] === undefined).length;
    const [all_, written, left] = ["[data-all]", "[data-write-it]", "[data-left]"].map((q) => this.root.querySelector<HTMLElement>(q));
    const untouched = open === all.length;
    if (all_) all_.hidden = !untouched;
    if (written) written.hidden = untouched;
    if (left) {
      left.hidden = untouched || open === 0;
      left.textContent = say("face.expect_left", { n: open });
    }
  }

  private drawOne(key: string): void {
    const now = this.touched[key];
    this.root.querySelectorAll<HTMLElement>(`[data-key="${CSS.escape(key)}"] [data-exp]`).forEach((button) => {
      const what = button.dataset.exp;
      const on = now !== undefined && (what === "not_yet" ? now.outcome === "incorrect" : now.outcome === "correct" && (what === "help") === (now.help !== undefined));
      button.setAttribute("aria-pressed", String(on));
      const label = button.querySelector<HTMLElement>("[data-label]");
      if (what === "help" && label) label.textContent = now?.help ?? say("face.help");
    });
  }

  progress(): ReturnType<Face["progress"]> {
    const marks = inEffect(this.s.doc);
    const text = say("recorder.of", { n: Math.min(marks.length + 1, this.s.plan), m: this.s.plan });
    const touched = Object.keys(this.touched).length;
    return touched > 0 ? { text, marks, spoken: say("face.expect_touched", { n: touched, m: this.s.kit.expectations?.length ?? 0 }) } : { text, marks };
  }

  enough(): boolean {
    return inEffect(this.s.doc).length >= this.s.plan;
  }

  summary(): string {
    const n = inEffect(this.s.doc).length;
    return n === 0 ? "" : say("recorder.done_tries", { n });
  }

  /** A line for each expectation of each try, so that each can be put right by itself. */
  written(): Written[] {
    return inEffect(this.s.doc).reduce<Written[]>((lines, t, i) => [...lines, ...this.lines(t, i + 1)], []);
  }

  private lines(t: Trial, nth: number): Written[] {
    const expected = t.answer?.expected ?? [];
    const kit = this.s.kit;
    if (expected.length === 0) {
      const mark = answerMark(kit, t.answer, "20");
      return [{ name: say("recorder.try_n", { n: nth }), label: (mark as Element).getAttribute("aria-label") ?? "", mark }];
    }
    return expected.map((x) => {
      const name = kit.expectations?.find((e) => e.key === x.key)?.name ?? x.key;
      const choices = this.choices(t, expected, x);
      return { name: say("face.expect_line", { n: nth, name }), label: choices.find((c) => c.now)?.label ?? "", mark: answerMark(kit, x, "20"), choices };
    });
  }

  private choices(t: Trial, expected: Expected[], x: Expected): Choice[] {
    const { kit, levels } = this.s;
    const to: [string, Omit<Expected, "key">][] = [
      [say("recorder.alone"), { outcome: "correct" }],
      ...levels.map((help): [string, Omit<Expected, "key">] => [help, { outcome: "correct", help }]),
      [say("face.not_yet"), { outcome: "incorrect" }],
      [say("face.no_turn"), { outcome: "no_chance" }],
    ];
    return to.map(([label, e]) => ({
      label,
      mark: answerMark(kit, e, "20"),
      now: e.outcome === x.outcome && e.help === x.help,
      choose: () => this.s.revise(t.n, fromExpected(kit, expected.map((o) => (o.key === x.key ? { key: x.key, ...e } : o)))),
    }));
  }

  async undo(): Promise<boolean> {
    if (Object.keys(this.touched).length === 0) return false;
    await this.s.set({}, null);
    return true;
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Expectations(root, session as Session<Touched | null>) };
