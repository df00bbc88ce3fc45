// The document of one session and its changes. Nothing here knows about pages, storage or the network; every
// function returns a new document and leaves the old one unchanged. A session that began under an earlier
// contract version goes on in this one: versions only add fields.

import { newID } from "../shared/id";
import { CONTRACT, MAX_TRIALS } from "./contract";
import type { Answer, Closing, Header, RecordingDocument, Revised, Trial } from "./contract";

/** This phone's clock, with its offset, to the millisecond. */
export function deviceTime(date: Date): string {
  const ahead = -date.getTimezoneOffset(); // minutes
  const local = new Date(date.getTime() + ahead * 60_000).toISOString().slice(0, -1);
  if (ahead === 0) return local + "Z";
  const two = (n: number): string => String(n).padStart(2, "0");
  return local + (ahead < 0 ? "-" : "+") + two(Math.floor(Math.abs(ahead) / 60)) + ":" + two(Math.abs(ahead) % 60);
}

/** The kind of a session. */
export type Kind = NonNullable<Header["kind"]["value"]>;

/** What is fixed when a session begins. */
export interface Beginning {
  placement: string;
  author: string;
  kit: { id: string; hash: string };
  device: string;
  by: string;
  how: "live" | "afterwards";
  kind?: Kind;
  plannedHelp: string;
  place: string;
}

export function begin(b: Beginning, now: Date): RecordingDocument {
  const header: Header = { by: { rev: 1, value: b.by }, kind: { rev: 1, value: b.kind ?? "teaching" }, how: { rev: 1, value: b.how } };
  header.planned_help = { rev: 1, value: b.plannedHelp };
  if (b.place) header.place = { rev: 1, value: b.place };
  return {
    contract: CONTRACT,
    id: newID(now.getTime()),
    placement: b.placement,
    author: b.author,
    kit: b.kit,
    device: b.device,
    started_at: deviceTime(now),
    header,
    trials: [],
  };
}

/** The trials in effect: those not undone. */
export function inEffect(d: RecordingDocument): Trial[] {
  return d.trials.filter((t) => !t.void);
}

/** Adds an answer as the next trial; undefined if no more fit. */
export function answered(d: RecordingDocument, answer: Answer, at_ms: number): RecordingDocument | undefined {
  if (d.trials.length >= MAX_TRIALS) return undefined;
  return { ...d, contract: CONTRACT, trials: [...d.trials, { n: d.trials.length + 1, rev: 1, at_ms, answer }] };
}

/** Undoes the last answer: the same number, a higher revision, void. */
export function undone(d: RecordingDocument, at_ms: number): RecordingDocument {
  const last = inEffect(d).pop();
  return last ? revised(d, last.n, undefined, at_ms) : d;
}

/** Puts a trial right: the same number, a higher revision, another answer; void without one. */
export function revised(d: RecordingDocument, n: number, answer: Answer | undefined, at_ms: number): RecordingDocument {
  const trials = d.trials.map((t) => (t.n === n ? { n, rev: t.rev + 1, at_ms, ...(answer ? { answer } : { void: true }) } : t));
  return { ...d, trials };
}

/** The fields of a header that hold what was measured, for what is not recorded try by try. */
const MEASURED = ["count", "observed_ms", "durations_ms", "intervals"] as const;

/** Whether anything was recorded in a session: an answer, even an undone one, or something measured. */
export function hasContent(d: RecordingDocument): boolean {
  return d.trials.length > 0 || MEASURED.some((name) => d.header[name] !== undefined);
}

/** Sets a header field in its next revision. */
export function withField<K extends keyof Header>(d: RecordingDocument, name: K, value: NonNullable<Header[K]>["value"]): RecordingDocument {
  const before: Revised<unknown> | undefined = d.header[name];
  return { ...d, contract: CONTRACT, header: { ...d.header, [name]: { rev: (before?.rev ?? 0) + 1, value } } };
}

/** Closes the session. A closed document is complete and never changes again. */
export function closed(d: RecordingDocument, end_ms: number, now: Date): RecordingDocument {
  if (d.closing) return d;
  const closing: Closing = { last: d.trials.length, end_ms, ended_at: deviceTime(now) };
  return { ...d, closing };
}

/**
 * Closes the session at a moment in the past. This page and any later one write the same bytes: a session
 * closes once.
 */
export function closedWhere(d: RecordingDocument, end_ms: number): RecordingDocument {
  return closed(d, end_ms, new Date(Date.parse(d.started_at) + end_ms));
}

/** The last moment in the document, in ms from its start. */
export function lastMoment(d: RecordingDocument): number {
  return d.trials.reduce((last, t) => Math.max(last, t.at_ms), 0);
}
