// The recorder's page before anything is tapped: its parts, filled in from a kit.

import { answersOf } from "./answers";
import { stepName } from "./brief";
import type { Kit } from "./contract";
import type { Kind } from "./document";
import type { FaceModule } from "./face/face";
import { namedPeople, conditionsToCheck, instructionIn } from "./fits";
import { bar } from "./bar";
import { chip, sayIn, languageChips, namesOf } from "./saychips";
import { mark, part, say } from "./words";

const USUAL = 5; // trials, if the step does not say

/** What the page needs besides the kit. */
export interface RecorderState {
  placement: string;
  changed: boolean;
  ended: boolean;
  /** People of the family who may not teach it without a supervisor yet. */
  wanting: string[];
  /** What is planned: teaching, or only looking (probe, baseline, check). Teaching if nothing says otherwise. */
  kind?: Kind | undefined;
  /** The step is learned: it may be checked, and nothing else. */
  check?: boolean;
}

/** The kinds of session, as in the contract. Only teaching has help. */
export const KINDS: Kind[] = ["teaching", "probe", "baseline", "maintenance"];

/** The help that may be given in a session of a kind. */
export const levelsFor = (kit: Kit, kind: Kind): string[] => (kind === "teaching" ? kit.help_levels : []);

/** Puts a face's section into the page, in place of the one before, and says what is asked. */
export function withFace(root: HTMLElement, module: FaceModule, kit: Kit, kind: Kind, lang?: string): HTMLElement {
  const section = module.section({ kit, levels: levelsFor(kit, kind) });
  const place = root.querySelector<HTMLElement>("[data-face-place]")!;
  while (place.nextElementSibling?.hasAttribute("data-face")) place.nextElementSibling.remove();
  section.dataset.face = "";
  place.insertAdjacentElement("afterend", section);
  const words = instructionIn(kit, lang);
  const counts = kind !== "teaching" ? say("recorder.only_look") : kit.done_when === "" ? "" : say("recorder.counts_when", { what: kit.done_when });
  const each = (selector: string, fn: (e: HTMLElement) => void): void => section.querySelectorAll<HTMLElement>(selector).forEach(fn);
  section.classList.toggle("worded", words.text !== "");
  each("[data-cue]", (e) => sayIn(e, words, namesOf(kit)));
  each("[data-step]", (e) => (e.textContent = stepName(kit)));
  each("[data-counts]", (e) => (e.textContent = counts));
  each("[data-face-title]", (e) => (e.textContent = [stepName(kit), words.text].filter((t) => t !== "").join(". ")));
  return section;
}

/** How many trials are planned. */
export const planOf = (kit: Kit): number => (kit.trials > 0 ? kit.trials : USUAL);

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

/** Someone who may have been there besides the person who teaches. */
function presentChip(id: string, name: string): DocumentFragment {
  const f = chip("present", name, name, false, "checkbox");
  f.querySelector("label")!.dataset.person = id;
  return f;
}

/** Leaves whoever teaches out of the question who else was there. */
function withoutTeacher(root: HTMLElement): void {
  const show = (): void => {
    const by = root.querySelector<HTMLInputElement>('input[name="by"]:checked')?.value;
    root.querySelectorAll<HTMLElement>("[data-person]").forEach((e) => {
      e.hidden = e.dataset.person === by;
      if (e.hidden) e.querySelector("input")!.checked = false;
    });
  };
  root.addEventListener("change", show);
  show();
}

/** Every part of the recorder for one kit. */
export function recorderPage(kit: Kit, s: RecorderState, lang?: string): HTMLElement {
  const self = kit.self ?? (kit.people.length === 1 ? kit.people[0]!.id : "");
  // Who may not teach it yet is told to that person only: no names here.
  const missing = kit.people.some((p) => s.wanting.includes(p.id));
  const f: DocumentFragment = part("t-recorder", {
    t: { planned: planText(kit), notice: kit.notice ?? "", with: namedPeople(kit).length > 0 ? say("recorder.with", { people: kit.fits?.people ?? "" }) : "", wanting: missing ? say("start.other") : "" },
    if: { changed: s.changed, ended: s.ended, people: kit.people.length > 0, present: kit.people.length > 1, help_levels: kit.help_levels.length > 0, of: kit.one_by_one === true && kit.targets.length > 1 },
    href: { teach: "/teach/" + s.placement },
    slot: {
      bar: [bar(kit.program)],
      people: kit.people.filter((p) => !s.wanting.includes(p.id)).map((p) => chip("by", p.id, p.name, p.id === self)),
      present: kit.people.map((p) => presentChip(p.id, p.name)),
      planned_help: [chip("planned_help", "", say("recorder.alone"), kit.planned_help === ""), ...kit.help_levels.map((l) => chip("planned_help", l, l, l === kit.planned_help))],
      fits: conditionsToCheck(kit).map((t) => chip("fits", t.condition, t.text, true, "checkbox")),
      say_in: languageChips(kit, lang, () => Array.from(root.querySelectorAll<HTMLElement>("[data-cue]"))),
      kinds: (s.check ? ["maintenance" as const] : KINDS).map((k) => chip("kind", k, say(`recorder.kind_${k}`), k === (s.kind ?? "teaching"))),
      of: kit.targets.map((t, i) => chip("of", t.key, t.name, i === 0)),
      several: severalRows(kit),
    },
  });
  const root = f.firstElementChild as HTMLElement; // (the language chooser finds it when it is pressed)
  withoutTeacher(root);
  const rests = root.querySelector<HTMLElement>("[data-rests]");
  if (rests) rests.textContent = say("recorder.rests", { program: kit.program });
  const title = root.querySelector<HTMLElement>("[data-done-title]");
  if (title) title.textContent = say("recorder.done_title", { name: kit.learner });
  const declined = root.querySelector<HTMLElement>("[data-declined-title]");
  if (declined) declined.textContent = say("recorder.declined", { name: kit.learner });
  return root;
}
