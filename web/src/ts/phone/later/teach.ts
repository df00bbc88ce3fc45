// How to teach: three faces, one at a time, and the full page behind "more".

import { alertText, bar, briefLines, instructionIn, item, languageChips, mark, materials, namesOf, part, saidAloud, say, sayIn } from "../face/base";
import type { Kit, Target } from "../contract";
import type { Pictures } from "../pictures";

/** What the page needs about the step besides its kit. */
export interface TeachState {
  placement: string;
  rests: boolean;
  /** Paused by the clinic. */
  paused?: boolean;
  ended: boolean;
  changed: boolean;
  /** The training state to reach first; empty if the step may be started. */
  first: string;
  /** Records that it was read; undefined if that is known. */
  read: (() => void) | undefined;
  /** Whether to show the whole page. */
  whole: boolean;
  /** The language chosen for exact words, if any. */
  say?: string | undefined;
}

function target(t: Target, pictures: Pictures): HTMLElement {
  const picture = pictures.img(t.picture);
  const li = item(...picture, t.name);
  li.classList.toggle("shown", picture.length > 0);
  return li;
}

function more(kit: Kit, pictures: Pictures): DocumentFragment {
  const { t, slot } = briefLines(kit);
  return part("t-more", {
    t: {
      ...t, context: kit.context, stop_signs: kit.stop_signs, stop_rule: kit.stop_rule, cautions: kit.cautions,
      stop_signs_head: say("teach.stop_signs", { name: kit.learner }), alerts: alertText(kit.alerts),
    },
    if: { materials: kit.materials.length > 0, targets: kit.targets.length > 0, help_levels: kit.help_levels.length > 0 },
    slot: {
      ...slot,
      materials: materials(kit),
      targets: kit.targets.map((t) => target(t, pictures)),
      help_levels: kit.help_levels.map((l, i) => item(mark("help-" + String(Math.min(i + 1, 4)), "20", ""), " " + l)),
    },
  });
}

/** The page of one step. */
export function teachPage(kit: Kit, s: TeachState, pictures: Pictures): DocumentFragment {
  const here = "/teach/" + s.placement;
  const f: DocumentFragment = part("t-teach", {
    t: {
      say: kit.say === "" ? "" : "“" + kit.say + "”", context: kit.context, help_rule: kit.help_rule,
      seconds: kit.wait_seconds > 0 ? say("teach.seconds", { n: kit.wait_seconds }) : "",
      help: kit.planned_help === "" ? say("teach.help_alone") : say("teach.help_today", { level: kit.planned_help }),
      if_right: kit.if_right, if_not_yet: kit.if_not_yet, if_says_no: kit.if_says_no,
      first: s.first === "" ? "" : s.first === "read" ? say("start.asks_read") : say("start." + s.first),
    },
    if: { once: saidAloud(kit.say), rests: s.rests, paused: s.paused ?? false, ended: s.ended, changed: s.changed, record: !s.rests && !s.paused && !s.ended && s.first === "", read: s.read !== undefined, if_says_no: true },
    do: { read: () => s.read?.() },
    href: { record: "/record/" + s.placement },
    slot: { say_in: languageChips(kit, s.say, () => said), bar: [bar(kit.program, s.whole ? undefined : here + "?more=yes")], picture: pictures.img(kit.picture), more: s.whole ? [more(kit, pictures)] : [] },
  });
  const said = Array.from(f.querySelectorAll<HTMLElement>('[data-t="say"]'));
  said.forEach((e) => sayIn(e, instructionIn(kit, s.say), namesOf(kit)));
  return f;
}

/** Shows one face at a time; on the whole page they are below one another. */
export function startFaces(root: HTMLElement): void {
  const links = Array.from(root.querySelectorAll<HTMLAnchorElement>(".faces a"));
  const faces = Array.from(root.querySelectorAll<HTMLElement>(".face"));
  if (root.querySelector("#more") || faces.length === 0) return;
  const show = (id: string): void => {
    faces.forEach((f) => (f.hidden = f.id !== id));
    links.forEach((a) => {
      if (a.hash === "#" + id) a.setAttribute("aria-current", "true");
      else a.removeAttribute("aria-current");
    });
  };
  links.forEach((a) => {
    a.addEventListener("click", (event) => {
      event.preventDefault();
      event.stopPropagation();
      history.replaceState(null, "", a.hash);
      show(a.hash.slice(1));
    });
  });
  show((faces.find((f) => "#" + f.id === location.hash) ?? faces[0]!).id);
}
