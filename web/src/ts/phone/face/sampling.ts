// Intervals, one after another, by this phone's wall clock in ms: which one is watched or asked about, and what was seen.
// A phone that slept through an interval leaves it unseen. Nothing here knows the page.

import { MAX_MEASURED } from "../contract";
import type { Kit } from "../contract";
import type { Fields } from "./face";

const MOST_TO_ANSWER = 6_000; // ms after the end of an interval
const PART_TO_ANSWER = 1 / 3; // of an interval

/** The intervals of a step. */
export interface Intervals {
  kind: NonNullable<Kit["interval_kind"]>;
  ms: number;
  n: number;
}

export interface Sampling {
  /** When the first interval started. */
  start: number;
  /** What was seen in each interval; null: put right to not seen. */
  seen: (boolean | null | undefined)[];
}

/** Where one is: the interval that an answer is about, from 1, and how much time is left. */
export interface Where {
  phase: "before" | "watching" | "waiting" | "asked" | "over";
  /** The interval: the one asked about while asked, the last one once all are over. */
  k: number;
  /** Until it ends, or until it is left out. */
  left: number;
}

/** The intervals of a step; undefined if it does not say what they are, like steps published before they could. */
export function intervalsOf(kit: Kit): Intervals | undefined {
  const { interval_kind: kind, interval_seconds: s = 0, intervals: n = 0 } = kit;
  return kind && s > 0 && n > 0 ? { kind, ms: Math.round(s * 1000), n: Math.min(n, MAX_MEASURED) } : undefined;
}

/** How long an interval can be answered after it ended. */
export const toAnswer = (p: Intervals): number => Math.min(p.ms * PART_TO_ANSWER, MOST_TO_ANSWER);

/** How many intervals have ended. */
export const endedBy = (m: Sampling, p: Intervals, now: number): number => Math.max(0, Math.min(Math.floor((now - m.start) / p.ms), p.n));

const answered = (m: Sampling, k: number): boolean => typeof m.seen[k - 1] === "boolean";

export function whereIn(m: Sampling | undefined, p: Intervals, now: number): Where {
  if (!m) return { phase: "before", k: 1, left: p.ms };
  const ended = endedBy(m, p, now);
  const until = m.start + ended * p.ms + toAnswer(p);
  if (ended > 0 && m.seen[ended - 1] === undefined && now < until) return { phase: "asked", k: ended, left: until - now };
  if (ended >= p.n) return { phase: "over", k: p.n, left: 0 };
  return { phase: answered(m, ended + 1) ? "waiting" : "watching", k: ended + 1, left: m.start + (ended + 1) * p.ms - now };
}

/** The answer that can be true before an interval is over: it happened at some time, or it was not so all the time. */
export function early(p: Intervals): boolean | undefined {
  return p.kind === "partial" ? true : p.kind === "whole" ? false : undefined;
}

/** Answers the interval that is asked about; or the one that is watched, if this can be true already. */
export function answeredNow(m: Sampling, p: Intervals, now: number, yes: boolean): Sampling {
  const { phase, k } = whereIn(m, p, now);
  return phase === "asked" || (phase === "watching" && early(p) === yes) ? put(m, k, yes) : m;
}

/** Sets what was seen in an interval; null: nobody saw it. */
export function put(m: Sampling, k: number, seen: boolean | null): Sampling {
  const all = Array.from({ length: Math.max(m.seen.length, k) }, (_, i) => m.seen[i]);
  all[k - 1] = seen;
  return { ...m, seen: all };
}

/** The intervals up to the last one that is over or answered: seen, or not. done: the session ends, nothing more is asked. */
export function results(m: Sampling, p: Intervals, now: number, done = false): (boolean | null)[] {
  const { phase } = whereIn(m, p, now);
  const over = endedBy(m, p, now) - (phase === "asked" && !done ? 1 : 0);
  const last = m.seen.reduce<number>((n, seen, i) => (typeof seen === "boolean" ? i + 1 : n), 0);
  return Array.from({ length: Math.max(over, last) }, (_, i) => m.seen[i] ?? null);
}

/** What is recorded: the intervals that were seen, the numbers of the others, and what an interval means. */
export function intervalFields(m: Sampling | undefined, p: Intervals, now: number, done = false): Fields {
  const none = { intervals: undefined, unseen: undefined, interval_kind: undefined, interval_ms: undefined };
  if (!m) return none;
  const all = results(m, p, now, done);
  const unseen = all.flatMap((seen, i) => (seen === null ? [i + 1] : []));
  return {
    intervals: all.filter((seen): seen is boolean => seen !== null),
    unseen: unseen.length > 0 ? unseen : undefined,
    interval_kind: p.kind,
    interval_ms: p.ms,
  };
}
