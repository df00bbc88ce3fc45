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

/** The key of an answer's mark. levels: the program's, from a little help to a lot. */
export function markKey(levels: string[], answer: { outcome: string; help?: string } | undefined): string {
  if (answer?.outcome === "incorrect") return "not_yet";
  if (answer && answer.outcome !== "correct") return answer.outcome;
  if (!answer?.help) return "alone";
  return "help-" + String(Math.max(1, Math.min(levels.indexOf(answer.help) + 1, 4)));
}

/** The mark of an answer, with its name. */
export function answerMark(kit: Kit, answer: { outcome: string; help?: string } | undefined, size: "20" | "32"): Node {
  const helped = answer?.outcome === "correct" && answer.help;
  return mark(markKey(kit.help_levels, answer), size, helped ? say("recorder.mark.help", { level: helped }) : undefined);
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
