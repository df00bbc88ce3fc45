// The day of one account: fetched ahead with its kits, stored here, shown from here.

import { DAY_MEDIA_TYPE, TOLD_HEADER, UNSENT_HEADER } from "./contract";
import type { DayCheck, DayKit, DayLearner, DayOffer, DayStart, Kit, PhoneDay } from "./contract";
import type { Kind } from "./document";
import type { Keep, Kept, Notes, Talk } from "./keep";
import { checksHere, kindHere } from "./kinds";
import { sha256 } from "./sha256";
import { unsentIDs } from "./send";

const MOST_UNSENT = 100;
const PATIENCE = 20_000; // ms
const KIT_HASH = "Newel-Kit-Hash";
const AS_OF = "Newel-As-Of";

/** The result of asking for a day. */
export type DayResult = { kind: "day"; day: PhoneDay; asked: number; tag: string } | { kind: "offline" | "portal" | "sign_in" | "refused" };

/**
 * Asks the server for the day of the account that it associates with this phone. keep: whose unsent sessions
 * to report.
 */
export async function askDay(keep: Keep | undefined): Promise<DayResult> {
  const headers: Record<string, string> = { Accept: DAY_MEDIA_TYPE };
  const known = keep?.durable ? await keep.day() : undefined;
  if (keep?.durable) {
    const ids = await unsentIDs(keep);
    headers[UNSENT_HEADER] = ids.length === 0 ? "none" : ids.slice(0, MOST_UNSENT).join(" ");
    const { told, tag } = await keep.notes();
    if (known && tag !== "") headers["If-None-Match"] = tag; // an unchanged day is not sent again
    if (told.length > 0) headers[TOLD_HEADER] = told.slice(0, MOST_UNSENT).join(" ");
  }
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), PATIENCE);
  const asked = Date.now();
  try {
    const response = await fetch("/phone/day", { headers, credentials: "same-origin", cache: "no-store", redirect: "error", signal: abort.signal });
    const tag = response.headers.get("ETag") ?? "";
    const asOf = response.headers.get(AS_OF);
    if (response.status === 304 && known && asOf) return { kind: "day", day: { ...known, as_of: asOf }, asked, tag };
    if (response.status === 401) return { kind: "sign_in" };
    if (response.status === 403) return { kind: "refused" };
    if (!response.ok) return { kind: "offline" };
    if (!(response.headers.get("Content-Type") ?? "").startsWith(DAY_MEDIA_TYPE)) return { kind: "portal" };
    return { kind: "day", day: (await response.json()) as PhoneDay, asked, tag };
  } catch {
    return { kind: "offline" };
  } finally {
    clearTimeout(timer);
  }
}

const offers = (d: PhoneDay): DayOffer[] => d.learners.reduce<DayOffer[]>((all, l) => [...all, ...(l.next ? [l.next] : []), ...l.others, ...l.resting], []);
const hashes = (d: PhoneDay): Map<string, string> => new Map(d.kits.map((k) => [k.kit.placement, k.hash]));

/**
 * What is new in a day compared with the previous one: a different step, or different instructions for the
 * same step.
 */
export function changedPlacements(before: PhoneDay | undefined, now: PhoneDay): string[] {
  if (!before) return [];
  // A program with several roles has a placement for each.
  const known = offers(before);
  const old = hashes(before), fresh = hashes(now);
  return offers(now)
    .filter((o) => known.some((k) => k.assignment === o.assignment))
    .filter((o) => !known.some((k) => k.placement === o.placement) || old.get(o.placement) !== fresh.get(o.placement))
    .map((o) => o.placement);
}

/**
 * Stores a day and records what it changed. asked: when it was requested, by this phone's clock. tag: the
 * server's name for its content.
 */
export async function keepDay(keep: Keep, day: PhoneDay, asked: number, tag: string): Promise<void> {
  const changed = changedPlacements(await keep.day(), day);
  const named = new Set(offers(day).map((o) => o.placement));
  await keep.putDay(day, (n) => ({
    ...n,
    changed: [...n.changed.filter((p) => named.has(p) && !changed.includes(p)), ...changed],
    talks: notInDay(n.talks, day),
    reads: notInDay(n.reads, day),
    told: n.told.filter((id) => day.lost.includes(id)),
    asked,
    tag,
  }));
}

/** What was said here and is not in the day yet. */
const notInDay = (local: Talk[], day: PhoneDay): Talk[] => local.filter((t) => t.noted === undefined || Date.parse(t.noted) >= Date.parse(day.as_of));

/** What needs training to be started: a program, or the check of a learned step. */
type Trained = Pick<DayOffer, "assignment" | "start">;

const STATES: DayStart["state"][] = ["", "read", "shown", "practised", "alone"];

/** How far this phone's user has progressed with a program, as far as the phone knows. */
export function trainingState(o: Trained, notes: Notes): DayStart["state"] {
  if (o.start.state === "" && notes.reads.some((t) => t.assignment === o.assignment)) return "read";
  return o.start.state;
}

/** The training state required before starting this; empty if it has been reached. */
export function missingTraining(o: Trained | undefined, notes: Notes): DayStart["from"] {
  if (!o?.start) return ""; // (A day stored by an older build has no such information.)
  return STATES.indexOf(trainingState(o, notes)) >= STATES.indexOf(o.start.from) ? "" : o.start.from;
}

/**
 * Refusals that this phone knows of and the day does not: their programs are paused here at once. A day
 * includes a refusal only if it was requested after the receipt arrived. One that was under way at the time
 * may have a later timestamp without including it.
 */
function unlistedRefusals(day: PhoneDay, all: Kept[], notes: Notes): Set<string> {
  const refused = new Set<string>();
  for (const k of all) {
    if (k.doc?.header.ended_early?.value !== "distress") continue;
    const included = k.storedAt !== undefined && k.storedAt < notes.asked;
    if (included && k.receipt?.closed && Date.parse(k.receipt.stored_at) < Date.parse(day.as_of)) continue;
    refused.add(k.placement);
  }
  return refused;
}

/**
 * When sessions ended here that the day does not know of, by placement: what was just taught is not the next thing to
 * teach, whether or not it has been sent.
 */
function taughtHere(all: Kept[], notes: Notes): Map<string, number> {
  const at = new Map<string, number>();
  for (const k of all) {
    if (!k.doc?.closing || (k.storedAt !== undefined && k.storedAt < notes.asked)) continue;
    at.set(k.placement, Math.max(at.get(k.placement) ?? 0, Date.parse(k.doc.closing.ended_at)));
  }
  return at;
}

/** A learner's day on this phone. */
export interface LearnerHere extends DayLearner {
  /** Something may be started, and all of it was put off for today. */
  putOff: boolean;
}

/**
 * A day as it applies on this phone: including what was taught, stopped and put off here. Only the clinic lifts the
 * pause after a no, so what the family says about it changes nothing.
 */
export function dayOnPhone(day: PhoneDay, all: Kept[], notes: Notes, date: string): LearnerHere[] {
  const refusals = unlistedRefusals(day, all, notes);
  const taught = taughtHere(all, notes);
  const later = (o: DayOffer): boolean => notes.notToday.day === date && notes.notToday.assignments.includes(o.assignment);
  return day.learners.map((l) => {
    const due = checksHere(l.checks, all, notes);
    const offers = [...(l.next ? [l.next] : []), ...l.others, ...l.resting];
    // A no pauses the program, in all of its roles.
    const paused = new Set([...l.resting, ...[...offers, ...due].filter((o) => refusals.has(o.placement))].map((o) => o.assignment));
    const resting = offers.filter((o) => paused.has(o.assignment));
    // The day's order is least recently taught first; the sort is stable.
    const open = offers.filter((o) => !resting.includes(o)).sort((a, b) => (taught.get(a.placement) ?? 0) - (taught.get(b.placement) ?? 0));
    const next = open.find((o) => !later(o)) ?? null;
    return { ...l, next, others: open.filter((o) => o !== next), resting, checks: due.filter((c) => !paused.has(c.assignment)), putOff: next === null && open.length > 0 };
  });
}

/** Whether a placement may be started now, as far as this phone knows. */
export interface Startable {
  offer?: DayOffer;
  /** A learned step that may only be checked. */
  check?: DayCheck;
  rests: boolean;
  /** What is planned for its next session. */
  kind: Kind;
}

/** Says whether a placement may be started now, and as which kind of session. */
export async function startable(keep: Keep, placement: string): Promise<Startable> {
  const day = await keep.day();
  if (!day) return { rests: false, kind: "teaching" };
  const all = await keep.all(), notes = await keep.notes();
  for (const l of dayOnPhone(day, all, notes, "")) {
    const rest = l.resting.find((o) => o.placement === placement);
    if (rest) return { offer: rest, rests: true, kind: "teaching" };
    const open = [...(l.next ? [l.next] : []), ...l.others].find((o) => o.placement === placement);
    if (open) return { offer: open, rests: false, kind: kindHere(open, all, notes) };
    const check = l.checks.find((c) => c.placement === placement);
    if (check) return { check, rests: false, kind: "maintenance" };
  }
  return { rests: false, kind: "teaching" };
}

/** The kit of a placement: stored here, or from the server if no stored day contains it. */
export async function kitOf(keep: Keep, placement: string): Promise<DayKit | "ended" | undefined> {
  const here = await keep.kit(placement);
  if (here) return here;
  try {
    const response = await fetch("/kits/" + placement, { credentials: "same-origin", cache: "no-store", redirect: "error" });
    if (response.status === 410) return "ended";
    if (!response.ok) return undefined;
    const body = await response.text();
    const hash = response.headers.get(KIT_HASH) ?? "";
    if (sha256(body) !== hash) return undefined; // not what the server sent
    const kit: DayKit = { hash, kit: JSON.parse(body) as Kit };
    await keep.putKit(kit);
    return kit;
  } catch {
    return undefined;
  }
}
