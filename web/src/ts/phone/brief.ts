// What makes scoring reliable: what one try is, what counts and what does not, what the child's role does. Held back to
// one screen of the recorder, and part of How to teach.

import type { Kit } from "./contract";
import { part, say } from "./words";
import type { Filling } from "./words";

/** A list's item. */
export const item = (...children: (Node | string)[]): HTMLElement => {
  const li = document.createElement("li");
  children.forEach((c) => li.appendChild(typeof c === "string" ? document.createTextNode(c) : c));
  return li;
};

/** The materials of a step, each with what to be careful about. */
export function materials(kit: Kit): HTMLElement[] {
  return kit.materials.map((m) => {
    if (m.caution === "") return item(m.text);
    const caution = document.createElement("span");
    caution.className = "attention";
    caution.textContent = m.caution;
    return item(m.text + " ", caution);
  });
}

/** The step's name: "U2 Copies two claps". */
export const stepName = (kit: Kit): string => [kit.step_label, kit.step_name].filter((t) => t !== "").join(" ");

/** What fills the lines that the recorder and How to teach share. */
export function briefLines(kit: Kit): Required<Pick<Filling, "t" | "slot">> {
  const head = kit.role === "" ? "teach.actions" : "teach.actions_role";
  return {
    t: { moment: kit.moment ?? "", done_when: kit.done_when, actions: kit.actions ?? "", actions_head: say(head, { name: kit.learner, role: kit.role }) },
    slot: { examples: (kit.examples ?? []).map((e) => item(e)), non_examples: (kit.non_examples ?? []).map((e) => item(e)) },
  };
}

/** The page that a press on the recorder's upper half shows. */
export function briefPage(kit: Kit): DocumentFragment {
  const { t, slot } = briefLines(kit);
  const wait = kit.wait_seconds > 0 ? say("teach.seconds", { n: kit.wait_seconds }) + " " : "";
  return part("t-brief", {
    t: {
      ...t,
      step: stepName(kit), say: kit.say, context: kit.context, help_rule: kit.help_rule,
      help: wait + (kit.planned_help === "" ? say("teach.help_alone") : say("teach.help_today", { level: kit.planned_help })),
      if_right: kit.if_right, if_not_yet: kit.if_not_yet, if_says_no: kit.if_says_no, stop_rule: kit.stop_rule,
      stop_signs: kit.stop_signs, stop_signs_head: say("teach.stop_signs", { name: kit.learner }),
    },
    slot: { ...slot, materials: materials(kit) },
  });
}
