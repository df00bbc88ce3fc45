// What is written so far, and putting one line of it right.

import type { Choice, Written } from "./face/face";
import { fill, part, say } from "./words";

function line(nth: number, w: Written, press: (() => void) | undefined): DocumentFragment {
  const f = part(press ? "t-line" : "t-fixed-line", { t: { n: String(nth), name: w.name, label: w.label }, slot: { mark: w.mark ? [w.mark] : [] } });
  if (press) f.querySelector("button")!.addEventListener("click", press);
  return f;
}

/** Draws the lines; press is called for one that can be put right. */
export function drawWritten(root: ParentNode, lines: Written[], press: (nth: number, w: Written) => void): void {
  fill(root.querySelector<HTMLElement>("[data-written-list]")!, lines.map((w, i) => line(i + 1, w, w.choices ? () => press(i + 1, w) : undefined)));
  root.querySelector<HTMLElement>("[data-written-none]")!.hidden = lines.length > 0;
  root.querySelector<HTMLElement>("[data-written-hint]")!.hidden = !lines.some((w) => w.choices);
}

/** Draws what a line can be changed to; the standing answer is marked. */
export function drawChoices(root: ParentNode, nth: number, w: Written, choose: (c: Choice) => void): void {
  root.querySelector<HTMLElement>("[data-change-title]")!.textContent = `${nth}. ${w.name}: ${w.label}`;
  const buttons = (w.choices ?? []).map((c) => {
    const f = part("t-line", { t: { n: "", name: c.label, label: c.now ? say("recorder.is_written") : "" }, slot: { mark: c.mark ? [c.mark] : [] } });
    const button = f.querySelector("button")!;
    button.setAttribute("aria-pressed", String(c.now));
    button.addEventListener("click", () => choose(c));
    return f;
  });
  fill(root.querySelector<HTMLElement>("[data-choices]")!, buttons);
}
