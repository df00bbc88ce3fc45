// The recorder's page before anything is tapped: its parts, filled in from a kit.

import type { Answer, Kit } from "./contract";
import { namedPeople, conditionsToCheck, instructionIn } from "./fits";
import { bar } from "./teach";
import { chip, sayIn, languageChips } from "./saychips";
import { mark, part, say } from "./words";

const USUAL = 5; // trials, if the step does not say

/** What the page needs besides the kit. */
export interface RecorderState {
  placement: string;
  changed: boolean;
  ended: boolean;
  /** People of the family who may not teach it without a supervisor yet. */
  wanting: string[];
}

/** How many trials are planned. */
export const planOf = (kit: Kit): number => (kit.trials > 0 ? kit.trials : USUAL);

/** Whether individual answers are tapped. */
export const byTrial = (kit: Kit): boolean => kit.measure === "trials" || (kit.measure as string) === "";

function posts(kit: Kit): Node[] {
  const n = kit.help_levels.length;
  const out: Node[] = kit.help_levels.map((level, i) => {
    const f = part("t-post", { t: { level }, if: { planned: level === kit.planned_help }, slot: { mark: [mark("help-" + String(Math.min(i + 1, 4)), "20", "")] } });
    const button = f.querySelector("button")!;
    button.dataset.level = level;
    button.classList.toggle("plan", level === kit.planned_help);
    return f;
  });
  out.reverse(); // the most help is at the top
  if (n > 0) {
    const hand = document.createElement("i");
    hand.className = "hand";
    hand.setAttribute("aria-hidden", "true");
    out.unshift(hand);
  }
  return out;
}

/** The possible answers with their marks, for entering several at once. */
export function answersOf(kit: Kit): { answer: Answer; key: string; label: string }[] {
  const fixed = (outcome: Answer["outcome"], key: string): { answer: Answer; key: string; label: string } => ({
    answer: outcome === "no_response" ? { outcome, none: true } : { outcome },
    key,
    label: mark(key, "20").textContent || ((mark(key, "20") as Element).getAttribute("aria-label") ?? key),
  });
  return [
    { answer: { outcome: "correct" }, key: "alone", label: say("recorder.alone") },
    ...kit.help_levels.map((help, i) => ({ answer: { outcome: "correct", help } as Answer, key: "help-" + String(Math.min(i + 1, 4)), label: help })),
    fixed("incorrect", "not_yet"),
    fixed("no_response", "no_response"),
    fixed("declined", "declined"),
    fixed("no_chance", "no_chance"),
  ];
}

function severalRows(kit: Kit): Node[] {
  return answersOf(kit).map((a, i) => {
    const f = part("t-row", { t: { label: a.label }, slot: { mark: [mark(a.key, "20", "")] } });
    f.querySelector<HTMLElement>("[data-n]")!.dataset.n = String(i);
    return f;
  });
}

function planText(kit: Kit): string {
  const parts: string[] = [];
  if (kit.trials > 0) parts.push(say("today.tries", { n: kit.trials }));
  if (kit.minutes > 0) parts.push(say("today.minutes", { n: kit.minutes }));
  return parts.length > 0 ? say("phone.planned", { what: parts.join(", ") }) : "";
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

/** Every part of the recorder for one kit. */
export function recorderPage(kit: Kit, s: RecorderState, lang?: string): HTMLElement {
  const self = kit.self ?? (kit.people.length === 1 ? kit.people[0]!.id : "");
  const wanting = kit.people.filter((p) => s.wanting.includes(p.id)).map((p) => p.name);
  const f: DocumentFragment = part("t-recorder", {
    t: { planned: planText(kit), notice: kit.notice ?? "", with: namedPeople(kit).length > 0 ? say("recorder.with", { people: kit.fits?.people ?? "" }) : "", wanting: wanting.length > 0 ? say("start.other", { names: wanting.join(", ") }) : "" },
    if: { changed: s.changed, ended: s.ended, people: kit.people.length > 0, present: kit.people.length > 1, help_levels: kit.help_levels.length > 0, of: kit.one_by_one === true && kit.targets.length > 1 },
    href: { teach: "/teach/" + s.placement },
    slot: {
      bar: [bar(kit.program)],
      people: kit.people.filter((p) => !s.wanting.includes(p.id)).map((p) => chip("by", p.id, p.name, p.id === self)),
      present: kit.people.map((p) => chip("present", p.name, p.name, false, "checkbox")),
      planned_help: [chip("planned_help", "", say("recorder.alone"), kit.planned_help === ""), ...kit.help_levels.map((l) => chip("planned_help", l, l, l === kit.planned_help))],
      fits: conditionsToCheck(kit).map((t) => chip("fits", t.condition, t.text, true, "checkbox")),
      say_in: languageChips(kit, lang, () => Array.from(root.querySelectorAll<HTMLElement>("[data-cue]"))),
      of: kit.targets.map((t, i) => chip("of", t.key, t.name, i === 0)),
      rail: posts(kit),
      several: severalRows(kit),
    },
  });
  const root = f.firstElementChild as HTMLElement; // (the language chooser finds it when it is pressed)
  root.querySelector(".rail")?.classList.add("levels-" + String(Math.max(1, Math.min(kit.help_levels.length, 5))));
  root.querySelectorAll<HTMLElement>("[data-cue]").forEach((e) => sayIn(e, instructionIn(kit, lang)));
  root.querySelectorAll<HTMLElement>("[data-measure]").forEach((e) => {
    const shown = e.dataset.measure === kit.measure;
    e.hidden = !shown;
    e.querySelectorAll("input").forEach((i) => (i.required = shown && i.required)); // hidden fields are not required
  });
  const rests = root.querySelector<HTMLElement>("[data-rests]");
  if (rests) rests.textContent = say("recorder.rests", { program: kit.program });
  const title = root.querySelector<HTMLElement>("[data-done-title]");
  if (title) title.textContent = say("recorder.done_title", { name: kit.learner });
  return root;
}

/** The mark of an answer, with its name. */
export function answerMark(kit: Kit, answer: Answer | undefined, size: "20" | "32"): Node {
  if (answer?.outcome === "incorrect") return mark("not_yet", size);
  if (answer && answer.outcome !== "correct") return mark(answer.outcome, size);
  if (!answer?.help) return mark("alone", size);
  const level = kit.help_levels.indexOf(answer.help) + 1;
  return mark("help-" + String(Math.max(1, Math.min(level, 4))), size, say("recorder.mark.help", { level: answer.help }));
}
