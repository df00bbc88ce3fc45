// What is entered at the end of a session that is not recorded trial by trial.

import { MAX_COUNT, MAX_MEASURED } from "./contract";
import type { Kit } from "./contract";

export interface Measured {
  count?: number;
  observed_ms?: number;
  durations_ms?: number[];
  intervals?: boolean[];
}

const MOST_SECONDS = 86_400;

/** A length of time as people read a clock: 0:09, 12:05, 1:02:03. */
export function clockText(ms: number): string {
  const s = Math.floor(ms / 1000);
  const two = (n: number): string => String(n).padStart(2, "0");
  const [h, m] = [Math.floor(s / 3600), Math.floor(s / 60) % 60];
  return h > 0 ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}

/** Parses a length of time, in ms: seconds or minutes as a number, or 1:30, or 1:02:03; undefined if it is neither. */
export function parseTime(text: string, unit: "seconds" | "minutes"): number | undefined {
  const parts = text.trim().split(":");
  if (parts.length > 3 || parts.some((p) => !/^\d{1,5}$/.test(p))) return undefined;
  const numbers = parts.map(Number);
  if (numbers.slice(1).some((n) => n > 59)) return undefined;
  const seconds = numbers.reduce((sum, n) => sum * 60 + n, 0) * (parts.length === 1 && unit === "minutes" ? 60 : 1);
  return seconds <= MOST_SECONDS ? seconds * 1000 : undefined;
}

function whole(text: string, most: number): number | undefined {
  const n = /^\d+$/.test(text.trim()) ? Number(text.trim()) : NaN;
  return n <= most ? n : undefined;
}

/** The fields of a measure's form. */
const FIELDS: { [measure in Kit["measure"]]?: (keyof typeof PARSE)[] } = { count: ["count", "minutes"], duration: ["durations"], intervals: ["intervals"] };

/** Parses each field; undefined if it is invalid. Minutes may be left out: then there is no rate. */
const PARSE = {
  count: (text: string): Measured | undefined => {
    const count = whole(text, MAX_COUNT);
    return count === undefined ? undefined : { count };
  },
  minutes: (text: string): Measured | undefined => {
    if (text.trim() === "") return {};
    const observed_ms = parseTime(text, "minutes");
    return observed_ms ? { observed_ms } : undefined;
  },
  durations: (text: string): Measured | undefined => {
    const words = text.split(/[\s,;]+/).filter((w) => w !== "");
    const lengths = words.map((w) => parseTime(w, "seconds"));
    if (lengths.length > MAX_MEASURED || lengths.some((ms) => ms === undefined)) return undefined;
    return { durations_ms: lengths.map((ms) => ms ?? 0) };
  },
  intervals: (text: string): Measured | undefined => {
    const letters = text.toLowerCase().replace(/[\s,;]/g, "");
    if (letters === "" || letters.length > MAX_MEASURED || /[^yn]/.test(letters)) return undefined;
    return { intervals: Array.from(letters, (c) => c === "y") };
  },
};

/** Parses the entry for a measure: what was measured, and the names of the fields that are invalid. */
export function parseMeasured(measure: Kit["measure"], field: (name: string) => string): { measured: Measured; wrong: string[] } {
  const names = FIELDS[measure] ?? [];
  const parsed = names.map((name) => PARSE[name](field(name)));
  return { measured: Object.assign({}, ...parsed) as Measured, wrong: names.filter((_, i) => parsed[i] === undefined) };
}
