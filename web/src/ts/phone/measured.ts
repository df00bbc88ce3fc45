// What is entered at the end of a session that is not recorded trial by trial.

import { MAX_COUNT, MAX_MEASURED } from "./contract";
import type { Kit } from "./contract";

export interface Measured {
  count?: number;
  observed_ms?: number;
  durations_ms?: number[];
  intervals?: boolean[];
}

const MOST_MINUTES = 24 * 60;

function whole(text: string, most: number): number | undefined {
  const n = /^\d+$/.test(text.trim()) ? Number(text.trim()) : NaN;
  return n <= most ? n : undefined;
}

/** Parses the entry for a measure; undefined if it is invalid. */
export function parseMeasured(measure: Kit["measure"], field: (name: string) => string): Measured | undefined {
  switch (measure) {
    case "count":
      return parseCount(field("count"), field("minutes"));
    case "duration":
      return parseDurations(field("durations"));
    default:
      return parseIntervals(field("intervals"));
  }
}

function parseCount(count: string, minutes: string): Measured | undefined {
  const n = whole(count, MAX_COUNT);
  const m = whole(minutes, MOST_MINUTES);
  return n === undefined || !m ? undefined : { count: n, observed_ms: m * 60_000 };
}

function parseDurations(text: string): Measured | undefined {
  const words = text.split(/[\s,;]+/).filter((w) => w !== "");
  const seconds = words.map((w) => whole(w, 86_400));
  if (seconds.length > MAX_MEASURED || seconds.some((s) => s === undefined)) return undefined;
  return { durations_ms: seconds.map((s) => (s ?? 0) * 1000) };
}

function parseIntervals(text: string): Measured | undefined {
  const letters = text.toLowerCase().replace(/[\s,;]/g, "");
  if (letters === "" || letters.length > MAX_MEASURED || /[^yn]/.test(letters)) return undefined;
  return { intervals: Array.from(letters, (c) => c === "y") };
}
