// What the faces share that record a try like the rail and something more beside it: the seconds, or the parts of a
// chain. They draw the rail's section with more in it, and answer through its buttons.

import { face as rail } from "./rail";
import { showWhen } from "./when";
import type { Answer } from "../contract";
import type { Face, Look, Session } from "./face";

/** The rail's section under another name, with the content of a template put into it. */
export function overRail(look: Look, name: string, extra: DocumentFragment): HTMLElement {
  const root = rail.section(look);
  root.dataset.part = name;
  root.classList.add("over", name);
  // Below the corner row and what is asked.
  (root.querySelector("[data-brief]") ?? root.querySelector(".cue") ?? root.firstElementChild!).after(extra);
  return root;
}

/** What a face changes of the session that it hands to the rail. */
export interface Through {
  answer(answer: Answer): Promise<void>;
  next?: Session["next"];
}

/** Wires the rail's buttons; what they answer goes through the face. */
export function railWith<S>(root: HTMLElement, s: Session<S>, through: Through): Face {
  const own = Object.create(s, {
    answer: { value: (answer: Answer) => through.answer(answer) },
    ...(through.next ? { next: { value: through.next } } : {}),
  }) as Session;
  return rail.attach(root, own);
}

/** Enters a state: shows what belongs to it. The style sheet hides the rail where it is not asked for. */
export function enter(root: HTMLElement, state: string): void {
  root.dataset.state = state;
  showWhen(root, state);
}

/** Puts other words on a button of the rail. */
export function renamed(root: HTMLElement, answer: string, text: string): void {
  const label = root.querySelector<HTMLElement>(`[data-answer="${answer}"] > span:last-child`);
  if (label) label.textContent = text;
}

/** A clock that is drawn while something runs, and calls once when the limit is over. */
export class Ticker {
  private timer: number | undefined;
  private over = false;

  constructor(
    private readonly draw: (ms: number) => void,
    private readonly atLimit: () => void,
    private readonly limit: number, // ms; 0 for none
  ) {}

  /** Runs from a moment of this phone's clock; undefined stops it. */
  from(at: number | undefined): void {
    window.clearInterval(this.timer);
    if (at === undefined) return;
    const elapsed = (): number => Math.max(0, Date.now() - at);
    this.over = this.limit > 0 && elapsed() >= this.limit; // already over when the page was opened: no buzz
    const tick = (): void => {
      const ms = elapsed();
      this.draw(ms);
      if (this.limit > 0 && ms >= this.limit && !this.over) {
        this.over = true;
        this.atLimit();
      }
    };
    tick();
    this.timer = window.setInterval(tick, 200);
  }
}
