// How long something lasts, each time that it happens. A bout that runs is a moment by this phone's wall clock, in ms:
// it goes on while the phone is locked or the page is closed. Nothing here knows the page.

import { MAX_MEASURED } from "../contract";
import type { Fields } from "./face";

const LEAST_DOUBT = 5 * 60_000; // ms before asking whether it still goes on, even after short bouts
const LONGEST_TIMES = 3; // of the longest bout so far
const MOST = 24 * 3_600_000; // ms of one bout

/** One time that it happened. */
export interface Bout {
  ms: number;
  /** Its length is what someone remembers. */
  estimated?: boolean;
}

export interface Bouts {
  bouts: Bout[];
  /** When the bout that runs started. */
  since?: number;
  /** When someone last said that it still goes on. */
  asked?: number;
  /** Someone said that it never happened. */
  never?: boolean;
}

export const NO_BOUTS: Bouts = { bouts: [] };

export type BoutPhase = "idle" | "running" | "never";

export function boutPhase(m: Bouts): BoutPhase {
  return m.never ? "never" : m.since === undefined ? "idle" : "running";
}

export const longest = (m: Bouts): number => m.bouts.reduce((most, b) => Math.max(most, b.ms), 0);

/** How long the bout that runs has gone on by now. */
export const runsFor = (m: Bouts, now: number): number => (m.since === undefined ? 0 : Math.min(Math.max(0, now - m.since), MOST));

/** All bouts together, with the one that runs. */
export const altogether = (m: Bouts, now: number): number => m.bouts.reduce((sum, b) => sum + b.ms, 0) + runsFor(m, now);

/** Whether it has run so long that it may have been forgotten. */
export function doubtful(m: Bouts, now: number): boolean {
  return m.since !== undefined && now - Math.max(m.since, m.asked ?? 0) >= Math.max(LEAST_DOUBT, LONGEST_TIMES * longest(m));
}

export function started(m: Bouts, now: number): Bouts {
  return m.since !== undefined || m.bouts.length >= MAX_MEASURED ? m : { bouts: m.bouts, since: now };
}

/** Ends the bout that runs; earlier: so many ms ago, as someone remembers. It never ends before it started. */
export function stopped(m: Bouts, now: number, earlier = 0): Bouts {
  if (m.since === undefined) return m;
  const ms = Math.max(0, runsFor(m, now) - earlier);
  return { bouts: [...m.bouts, { ms, ...(earlier > 0 ? { estimated: true } : {}) }] };
}

/** Keeps it running: someone says that it still goes on. */
export const stillGoing = (m: Bouts, now: number): Bouts => (m.since === undefined ? m : { ...m, asked: now });

/** Only as long as there is no bout. */
export const neverHappened = (m: Bouts): Bouts => (m.bouts.length > 0 || m.since !== undefined ? m : { bouts: [], never: true });

/** Puts the length of a bout right, by memory; takes it out without one. i counts from 0. */
export function corrected(m: Bouts, i: number, ms: number | undefined): Bouts {
  const bouts = ms === undefined ? m.bouts.filter((_, at) => at !== i) : m.bouts.map((b, at) => (at === i ? { ms: Math.min(Math.max(0, ms), MOST), estimated: true } : b));
  return { ...m, bouts };
}

/** What is recorded. Nothing is if there is no bout: an empty list means that it never happened, and only someone says so. */
export function boutFields(m: Bouts): Fields {
  const estimated = m.bouts.flatMap((b, i) => (b.estimated ? [i + 1] : []));
  return {
    durations_ms: m.bouts.length > 0 || m.never ? m.bouts.map((b) => b.ms) : undefined,
    estimated: estimated.length > 0 ? estimated : undefined,
  };
}
