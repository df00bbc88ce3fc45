// A count with a clock, or without: what is kept while it runs, and what it measured. All times are this phone's wall
// clock, in ms. Nothing here knows the page.

import { MAX_COUNT } from "../contract";
import type { Fields } from "./face";

/** How long after the clock ran out an event that happened in time can still be added, in ms. */
export const LATE_WITHIN = 60_000;

/** Everything that is known of a count. */
export interface Counting {
  count: number;
  clock: boolean;
  /** How long the clock ran before it was last paused. */
  ran: number;
  /** When the clock was last started; absent while it is paused. */
  since?: number;
  /** How long someone says that it took, if there was no clock. */
  said?: number;
}

/** What the page shows: nothing counts before the clock runs, while it is paused, or once it ran out. */
export type CountPhase = "before" | "running" | "paused" | "over" | "unclocked" | "asking";

/** How long the clock has run by now, never longer than the limit. Limit 0: there is none. */
export function ranFor(m: Counting, limit: number, now: number): number {
  const ran = m.ran + (m.since === undefined ? 0 : Math.max(0, now - m.since));
  return limit > 0 ? Math.min(ran, limit) : ran;
}

export function countPhase(m: Counting | undefined, limit: number, now: number): CountPhase {
  if (!m) return "before";
  if (!m.clock) return "unclocked";
  if (limit > 0 && ranFor(m, limit, now) >= limit) return "over";
  return m.since === undefined ? "paused" : "running";
}

/** Whether an event that was not tapped in time can still be added. */
export function mayBeLate(m: Counting, limit: number, now: number): boolean {
  return m.since !== undefined && countPhase(m, limit, now) === "over" && now - (m.since + limit - m.ran) <= LATE_WITHIN;
}

export const startClock = (now: number): Counting => ({ count: 0, clock: true, ran: 0, since: now });

export const withoutClock = (): Counting => ({ count: 0, clock: false, ran: 0 });

/** Pauses the clock, or lets it go on. Once it ran out, it does neither. */
export function pausedOrNot(m: Counting, limit: number, now: number): Counting {
  const { since, ...rest } = m;
  switch (countPhase(m, limit, now)) {
    case "running":
      return { ...rest, ran: ranFor(m, limit, now) };
    case "paused":
      return { ...m, since: now };
    default:
      return m;
  }
}

/** One more, or one less: never below none, and more only while it counts. */
export function tapped(m: Counting, by: 1 | -1, limit: number, now: number): Counting {
  const phase = countPhase(m, limit, now);
  const counts = phase === "running" || phase === "unclocked" || (phase === "over" && mayBeLate(m, limit, now));
  if (by > 0 && !counts) return m;
  return { ...m, count: Math.max(0, Math.min(m.count + by, MAX_COUNT)) };
}

/** What is recorded of a count. Without a clock and without minutes there is no observed time: no rate is made up. */
export function countFields(m: Counting | undefined, limit: number, now: number): Fields {
  if (!m) return { count: undefined, observed_ms: undefined, clock: undefined };
  const observed = m.clock ? ranFor(m, limit, now) : m.said;
  return { count: m.count, observed_ms: observed, clock: m.clock ? "used" : "none" };
}
