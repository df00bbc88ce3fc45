// All programs of this phone's children: what is taught, what is paused and until when, and what has been learned.

import { bar, dayText, part, say, stair } from "../face/base";
import type { DayLearner, DayOffer, DayProgram } from "../contract";

const steps = (p: { steps: DayOffer["steps"]; here: number }): Node[] =>
  p.steps.length > 0 ? [stair(p.steps, p.here, say("today.steps", { here: Math.min(p.here + 1, p.steps.length), n: p.steps.length }))] : [];

const withRole = (title: string, role: string): string => (role === "" ? title : title + ", " + role);

function line(href: string, title: string, text: string, stairs: Node[]): DocumentFragment {
  return part("t-program", { t: { title, text }, href: { to: href }, slot: { stair: stairs } });
}

const taught = (o: DayOffer): DocumentFragment => line("/teach/" + o.placement, withRole(o.title, o.role), [o.steps[o.here]?.label ?? "", o.step ?? ""].filter((t) => t !== "").join(", "), steps(o));

function pausedText(p: DayProgram): string {
  return p.until === "" ? say("today.paused") : say("today.paused_until", { day: dayText(p.until) });
}

function learnerPart(l: DayLearner, alone: boolean): DocumentFragment {
  const now = [...(l.next ? [l.next] : []), ...l.others];
  return part("t-programs-of", {
    t: { name: l.nickname },
    if: { name: !alone, resting: l.resting.length + (l.paused ?? []).length > 0 },
    slot: {
      now: now.map(taught),
      rests: [
        ...l.resting.map((o) => line("/teach/" + o.placement, withRole(o.title, o.role), say("today.paused_no"), steps(o))),
        ...(l.paused ?? []).map((p) => line("/progress/" + p.placement, withRole(p.title, p.role), pausedText(p), steps(p))),
      ],
      finished: (l.finished ?? []).map((p) => line("/progress/" + p.placement, p.title, say(p.learned ? "today.learned_on" : "today.ended_on", { day: dayText(p.on) }), steps(p))),
    },
  });
}

/** The page of all programs. */
export function programsPage(learners: DayLearner[]): DocumentFragment {
  return part("t-programs", { slot: { bar: [bar(say("today.all"))], learners: learners.map((l) => learnerPart(l, learners.length === 1)) } });
}
