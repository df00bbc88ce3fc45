// Answers as people see them: their marks and names, and where the right one is.

import type { Answer, Kit, Trial } from "./contract";
import { mark, say } from "./words";

/** The possible answers with their marks, for entering several at once. */
export function answersOf(kit: Kit, levels = kit.help_levels): { answer: Answer; key: string; label: string }[] {
  const fixed = (outcome: Answer["outcome"], key: string): { answer: Answer; key: string; label: string } => ({
    answer: outcome === "no_response" ? { outcome, none: true } : { outcome },
    key,
    label: mark(key, "20").textContent || ((mark(key, "20") as Element).getAttribute("aria-label") ?? key),
  });
  return [
    { answer: { outcome: "correct" }, key: "alone", label: say("recorder.alone") },
    ...levels.map((help, i) => ({ answer: { outcome: "correct", help } as Answer, key: "help-" + String(Math.min(i + 1, 4)), label: help })),
    fixed("incorrect", "not_yet"),
    fixed("no_response", "no_response"),
    fixed("declined", "declined"),
    fixed("no_chance", "no_chance"),
  ];
}

/** Draws the position of the right answer, counted from the adult's left. */
export function placeOf(position: number | null | undefined, choices: number): Node[] {
  if (!position) return [];
  const row = document.createElement("span");
  row.className = "places";
  row.setAttribute("role", "img");
  row.setAttribute("aria-label", say("recorder.place_of", { n: position, m: choices }));
  for (let i = 1; i <= choices; i++) row.appendChild(document.createElement("i")).className = i === position ? "on" : "";
  return [row];
}

/** The mark of an answer, with its name. */
export function answerMark(kit: Kit, answer: Answer | undefined, size: "20" | "32"): Node {
  if (answer?.outcome === "incorrect") return mark("not_yet", size);
  if (answer && answer.outcome !== "correct") return mark(answer.outcome, size);
  if (!answer?.help) return mark("alone", size);
  const level = kit.help_levels.indexOf(answer.help) + 1;
  return mark("help-" + String(Math.max(1, Math.min(level, 4))), size, say("recorder.mark.help", { level: answer.help }));
}

/** An answer in words: "without help", "help: Point", "not yet". */
export function answerName(kit: Kit, answer: Answer | undefined): string {
  return (answerMark(kit, answer, "20") as Element).getAttribute("aria-label") ?? "";
}

/** The name of what a trial asked for; its number if the step has no targets. */
export function targetName(kit: Kit, trial: Trial, nth: number): string {
  const target = [...kit.targets, ...(kit.known ?? [])].find((t) => t.key === trial.answer?.target);
  return target?.name ?? say("recorder.try_n", { n: nth });
}
