// A program that is paused since the child said no: what the family says about it, and what was agreed when
// the clinic lifted the pause.

import type { DayOffer, Said } from "./contract";
import type { Notes } from "./keep";
import { announce, dates, part, say, shortTime } from "./words";

/** Control characters, and invisible ones that make a text look different from what is stored. */
const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]+/g;

/** The card of a paused program. by: the phone's person; tell: stores what they say; empty: no words. */
export function stoppedCard(o: DayOffer, notes: Notes, by: string, tell: (line: string) => Promise<void>): DocumentFragment {
  // What was said here and is not in the day yet comes last.
  const here = notes.talks.filter((t) => t.assignment === o.assignment).map((t): Said => ({ line: t.line ?? "", by, at: new Date(t.made).toISOString() }));
  const card = part("t-resting", {
    t: { rests: say("today.rests", { program: o.title }) },
    // (A day stored by an older build has no such lines.)
    slot: { said: [...(o.said ?? []), ...here].map(saidLine) },
    href: { teach: "/teach/" + o.placement },
    do: {
      talked: () => {
        const line = input.value.replace(UNSEEN, " ").trim();
        void tell(line).then(() => announce(say("today.told")));
      },
    },
  });
  const input = card.querySelector<HTMLInputElement>("input")!;
  return card;
}

function saidLine(s: Said): DocumentFragment {
  return part("t-said", { t: { line: s.line === "" ? say("today.said_only") : s.line, by: say("today.said_by", { who: s.by === "" ? say("today.said_someone") : s.by, when: shortTime(new Date(s.at)) }) } });
}

/** What was agreed when the clinic lifted the pause, with when and by whom; empty if there was none lately. */
export function liftedText(o: DayOffer): string {
  if (!o.lifted) return "";
  const day = new Date(o.lifted.agreed_on + "T12:00:00").toLocaleDateString(dates(), { weekday: "short", day: "numeric", month: "short" });
  return say("today.lifted", { day, line: o.lifted.line, who: o.lifted.by, when: shortTime(new Date(o.lifted.at)) });
}
