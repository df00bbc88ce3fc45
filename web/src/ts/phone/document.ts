// The document of one session and its changes. Nothing here knows about pages, storage or the network; every
// function returns a new document and leaves the old one unchanged.

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

/** What is fixed when a session begins. */
export interface Beginning {
  placement: string;
  author: string;
  kit: { id: string; hash: string };
  device: string;
  by: string;
  how: "live" | "afterwards";
  plannedHelp: string;
  place: string;
}

export function begin(b: Beginning, now: Date): RecordingDocument {
  const header: Header = { by: { rev: 1, value: b.by }, kind: { rev: 1, value: "teaching" }, how: { rev: 1, value: b.how } };
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
  return { ...d, trials: [...d.trials, { n: d.trials.length + 1, rev: 1, at_ms, answer }] };
}

/** Undoes the last answer: the same number, a higher revision, void. */
export function undone(d: RecordingDocument, at_ms: number): RecordingDocument {
  const last = inEffect(d).pop();
  if (!last) return d;
  const trials = d.trials.map((t) => (t.n === last.n ? { n: t.n, rev: t.rev + 1, at_ms, void: true } : t));
  return { ...d, trials };
}

/** Sets a header field in its next revision. */
export function withField<K extends keyof Header>(d: RecordingDocument, name: K, value: NonNullable<Header[K]>["value"]): RecordingDocument {
  const before: Revised<unknown> | undefined = d.header[name];
  return { ...d, header: { ...d.header, [name]: { rev: (before?.rev ?? 0) + 1, value } } };
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
