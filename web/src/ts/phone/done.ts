// What was done today: as the server knows it, and what this phone has not sent yet.

import { mark, part, say, shortTime } from "./words";
import type { DayLearner, DayOffer, DaySession, Kit } from "./contract";
import { markKey } from "./answers";
import { inEffect } from "./document";
import type { Kept } from "./keep";

/** A session of this phone in the form in which a day lists it. */
export function sessionOf(k: Kept, kit: Kit | undefined, offer: DayOffer | undefined): DaySession {
  const h = k.doc.header;
  const trials = inEffect(k.doc);
  const s: DaySession = {
    id: k.id,
    assignment: offer?.assignment ?? "",
    placement: k.placement,
    title: kit?.program ?? offer?.title ?? "",
    role: kit?.role ?? offer?.role ?? "",
    kind: h.kind.value ?? "teaching",
    by_name: kit?.people.find((p) => p.id === h.by.value)?.name ?? "",
    began: k.doc.started_at,
    ended: k.doc.closing?.ended_at ?? k.doc.started_at,
    afterwards: h.how.value === "afterwards",
    stopped: h.ended_early?.value === "distress",
    trials: trials.length,
    marks: trials.map((t) => markKey(kit?.help_levels ?? [], t.answer)),
  };
  if (h.count?.value !== undefined) s.count = h.count.value;
  if (h.durations_ms?.value !== undefined) s.seconds = Math.floor(h.durations_ms.value.reduce((sum, ms) => sum + ms, 0) / 1000);
  if (h.intervals?.value !== undefined) s.intervals = h.intervals.value;
  return s;
}

/** A session of this phone with its kit, if that is still here. */
export interface KeptWithKit {
  kept: Kept;
  kit?: Kit | undefined;
}

/** The date of a session by this phone's clock, or the date that it was said to be about. */
const sameDay = (k: Kept, date: string): boolean => {
  const about = (k.doc.header as { happened_on?: { value?: string } }).happened_on?.value;
  return new Date(about ? about + "T12:00:00" : k.doc.started_at).toDateString() === date;
};

/**
 * Today's closed sessions of one learner, in the order in which they ended. here: the closed sessions of this phone with
 * their kits; date: today by this phone's clock, as Date.toDateString writes it; of: the date of the stored day, which may
 * be an earlier one.
 */
export function doneToday(l: DayLearner, here: KeptWithKit[], date: string, of: string): DaySession[] {
  const offers = offersOf(l);
  const current = new Date(of + "T12:00:00").toDateString() === date;
  const known = (l.done ?? []).filter((s) => current || new Date(s.ended).toDateString() === date); // (A day stored by an older build has none.)
  const mine = here
    .filter(({ kept }) => kept.doc?.closing && sameDay(kept, date) && !known.some((s) => s.id === kept.id))
    .filter(({ kept, kit }) => offers.some((o) => o.placement === kept.placement) || (kit?.learner === l.nickname && kit !== undefined))
    .map(({ kept, kit }) => sessionOf(kept, kit, offers.find((o) => o.placement === kept.placement)));
  return [...known, ...mine].sort((a, b) => Date.parse(a.ended) - Date.parse(b.ended));
}

/** Everything of a learner that may be started or is paused after a no. */
export const offersOf = (l: DayLearner): DayOffer[] => [...(l.next ? [l.next] : []), ...l.others, ...l.resting];

/** The names of marks, for screen readers. */
const nameOf = (key: string): string => {
  if (key.startsWith("help-")) return say("today.with_help");
  const shown = mark(key, "20");
  return shown instanceof Element ? (shown.getAttribute("aria-label") ?? key) : key;
};

/** What a session recorded: its marks, or what was measured, in words. */
function result(s: DaySession): (Node | string)[] {
  if (s.marks.length > 0) return s.marks.map((key) => mark(key, "20", nameOf(key)));
  if (s.count !== undefined) return [say("today.times", { n: s.count })];
  if (s.seconds !== undefined) return [say("today.seconds", { n: s.seconds })];
  if (s.intervals) return [say("today.intervals", { n: s.intervals.filter((yes) => yes).length, m: s.intervals.length })];
  return [];
}

/** The lines of what was done. */
export function doneLines(done: DaySession[]): DocumentFragment[] {
  return done.map((s) => {
    const when = shortTime(new Date(s.ended));
    const parts = [s.by_name === "" ? when : say("today.done_by", { who: s.by_name, when })];
    if (s.afterwards) parts.push(say("today.afterwards"));
    if (s.stopped) parts.push(say("today.stopped"));
    return part("t-done", { t: { title: s.title, by: parts.join(", ") }, slot: { result: result(s) } });
  });
}
