// Sends what is stored on the phone. Only a receipt for exactly these bytes counts: a network's sign-in page
// also answers 200.

import { MEDIA_TYPE, RECEIPT_MEDIA_TYPE, SEALED_MEDIA_TYPE, SENT_HEADER } from "./contract";
import type { Receipt } from "./contract";
import { closedWhere, deviceTime, hasContent } from "./document";
import { lastKnown, toKept } from "./keep";
import type { Keep, Kept, Letter } from "./keep";
import { LETTER_MEDIA_TYPE, LETTER_RECEIPT } from "./letter";
import { allSealed, putSealed, removeSealed } from "./phonedb";
import type { Sealed } from "./phonedb";
import { sha256 } from "./sha256";
import { dropSpares } from "./spare";

export type Answer = "stored" | "later" | "portal" | "offline" | "sign_in" | "attention" | "erased";

/** The result of one request. */
export interface SendResult {
  answer: Answer;
  /** How long the server asks to be left alone, in ms. */
  after?: number;
  trouble?: string;
  receipt?: Receipt;
}

/** How long a stop can be undone, in ms. */
export const STOP_UNDO = 10_000;

const PATIENCE = 30_000; // ms for one response
const PER_BYTE = 2; // additional ms per byte: the slowest supported connection has half a kilobyte a second
const FORGOTTEN = 7 * 24 * 3_600_000; // ms after which a session left open, and offered on Today all that time, is closed at its last moment
const KEEPALIVE_MOST = 60_000; // bytes; browsers allow 64 KiB for requests that outlive a page (Fetch standard)

const RECORDING = { path: "/recordings/", receipt: RECEIPT_MEDIA_TYPE };
const LETTER = { path: "/phone/letters/", receipt: LETTER_RECEIPT };

/** Whether exactly what is stored here has a receipt. */
export function isStored(k: Kept): boolean {
  return k.receipt !== undefined && k.receipt.sha256 === sha256(k.body);
}

async function receiptIn(response: Response, p: Upload): Promise<Receipt | undefined> {
  const type = response.headers.get("Content-Type") ?? "";
  if (!type.startsWith(p.receipt)) return undefined;
  try {
    const receipt = (await response.json()) as Receipt;
    return receipt.id === p.id && receipt.sha256 === sha256(p.body) ? receipt : undefined;
  } catch {
    return undefined; // interrupted
  }
}

interface Upload {
  path: string;
  id: string;
  body: string;
  type: string;
  /** The media type of the receipt. */
  receipt: string;
  /** The monotonic clock, if it has run without interruption since the session began. */
  sinceStart?: number | undefined;
  leaving?: boolean;
}

async function put(p: Upload): Promise<SendResult> {
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), PATIENCE + p.body.length * PER_BYTE);
  const sent = deviceTime(new Date()) + (p.sinceStart === undefined ? "" : "; ms=" + String(Math.round(p.sinceStart)));
  try {
    const response = await fetch(p.path + p.id, {
      method: "PUT",
      headers: { "Content-Type": p.type, [SENT_HEADER]: sent },
      body: p.body,
      credentials: "same-origin",
      cache: "no-store",
      redirect: "error",
      keepalive: (p.leaving ?? false) && p.body.length < KEEPALIVE_MOST,
      signal: abort.signal,
    });
    return await resultOf(response, p);
  } catch {
    return { answer: "offline" };
  } finally {
    clearTimeout(timer);
  }
}

async function resultOf(response: Response, p: Upload): Promise<SendResult> {
  switch (response.status) {
    case 200:
    case 201: {
      const receipt = await receiptIn(response, p);
      if (receipt) return { answer: "stored", receipt };
      const type = response.headers.get("Content-Type") ?? "";
      return { answer: type.startsWith("text/html") ? "portal" : "later" };
    }
    case 401:
      return { answer: "sign_in" };
    case 410:
      return { answer: "erased" };
    case 403:
    case 404:
    case 409:
    case 413:
    case 415:
    case 422:
      return { answer: "attention", trouble: await troubleIn(response) };
    default:
      return { answer: "later", ...retryAfter(response) };
  }
}

/** Why the server refused: its sentence for the person if it has one, else the status. */
async function troubleIn(response: Response): Promise<string> {
  try {
    const said = (await response.json()) as { path?: string; problem?: string };
    if ((said.path ?? "").startsWith("fields.") && said.problem) return said.problem;
  } catch {
    // no reason that a program can read
  }
  return String(response.status);
}

/**
 * Retry-After in seconds (RFC 9110, 10.2.3); the date form is ignored because this phone's clock may be
 * wrong.
 */
export function retryAfter(response: Response): { after?: number } {
  const seconds = Number(response.headers.get("Retry-After") ?? "");
  return seconds > 0 ? { after: Math.min(seconds, 3600) * 1000 } : {};
}

/** Sends a letter that has a receipt again, in case the server was restored from a backup. True if it has it. */
export async function confirmLetter(l: Pick<Letter, "id" | "body">, sealed: boolean): Promise<boolean> {
  return (await put({ ...LETTER, id: l.id, body: l.body, type: sealed ? SEALED_MEDIA_TYPE : LETTER_MEDIA_TYPE })).answer === "stored";
}

/** Sends a letter and notes the result. */
export async function sendLetter(keep: Keep, l: Letter): Promise<SendResult> {
  const h = await put({ ...LETTER, id: l.id, body: l.body, type: LETTER_MEDIA_TYPE });
  if (h.answer === "stored") {
    await keep.noteLetter(l.id, { storedAt: Date.now() });
    await dropSpares(l.id);
  }
  if (h.answer === "attention") await keep.noteLetter(l.id, { trouble: h.trouble ?? "" });
  return h;
}

/** Sends one session and stores the result. */
export async function send(keep: Keep, k: Kept, sinceStart?: number, leaving = false): Promise<SendResult> {
  const h = await put({ ...RECORDING, id: k.id, body: k.body, type: MEDIA_TYPE, sinceStart, leaving });
  const { receipt } = h;
  if (h.answer === "stored" && receipt) {
    await keep.change(k, (now) => ({ ...now, receipt, storedAt: Date.now() }));
    if (k.doc.closing) await dropSpares(k.id);
  }
  if (h.answer === "erased") await keep.remove(k.id);
  if (h.answer === "attention") await keep.change(k, (now) => ({ ...now, trouble: h.trouble ?? "" }));
  return h;
}

async function sendSealed(s: Sealed): Promise<SendResult> {
  const h = await put({ ...(s.letter ? LETTER : RECORDING), id: s.id, body: s.body, type: SEALED_MEDIA_TYPE });
  // The receipt is for the sealed bytes. When checking again, the phone asks whether the server has something
  // closed of it.
  if (h.answer === "stored") await putSealed({ ...s, stored: s.stored ?? "", storedAt: Date.now(), held: h.receipt?.quarantined ?? false });
  if (h.answer === "erased") await removeSealed(s.id);
  if (h.answer === "stored" || h.answer === "erased") await dropSpares(s.id);
  if (h.answer === "attention") await putSealed({ ...s, trouble: h.trouble ?? "" });
  return h;
}

/** How much on this phone the server has not confirmed, and why. */
export interface Pending {
  pending: number;
  attention: number;
  signIn: boolean;
  portal: boolean;
  offline: boolean;
  /** How long the server asks to be left alone, in ms. */
  after: number;
  /**
   * Stored, but a person at the clinic has to check it before it counts: a caregiver who lost access loses no
   * session.
   */
  quarantined: number;
  /** When the oldest pending session was last changed; 0 if none is pending. */
  oldest: number;
  /** How many messages, answers and incidents are not confirmed, and how many of them need a person. */
  letters: number;
  letterTrouble: number;
}

const NONE_PENDING: Pending = { letters: 0, letterTrouble: 0, pending: 0, attention: 0, signIn: false, portal: false, offline: false, after: 0, quarantined: 0, oldest: 0 };

/** Counts what is pending, without sending anything. */
export async function countPending(keep: Keep): Promise<Pending> {
  const out = { ...NONE_PENDING };
  // An unreadable one has no document; sending handles the same case.
  for (const k of await keep.all()) await addPending(out, k.doc === undefined ? "unreadable" : k.trouble, unsent(k) ? k.changed : undefined);
  for (const s of await ownSealed(keep)) if (!s.letter) await addPending(out, s.trouble, s.storedAt === undefined ? s.at : undefined);
  out.quarantined = await countQuarantined(keep);
  return countLetters(keep, out);
}

/** Whether the server has not confirmed it. */
const unconfirmed = (l: { storedAt?: number }): boolean => l.storedAt === undefined;

/** The letters of this account that the server has not confirmed: open ones, and those that were sealed. */
export async function unsentLetters(keep: Keep): Promise<{ id: string; trouble?: string }[]> {
  return [...(await keep.letters()), ...(await ownSealed(keep)).filter((s) => s.letter)].filter(unconfirmed);
}

async function countLetters(keep: Keep, out: Pending): Promise<Pending> {
  const all = await unsentLetters(keep);
  const letterTrouble = all.filter((l) => l.trouble !== undefined).length;
  return { ...out, letters: all.length - letterTrouble, letterTrouble };
}

async function countQuarantined(keep: Keep): Promise<number> {
  return (await keep.all()).filter((k) => k.receipt?.quarantined && isStored(k)).length + (await ownSealed(keep)).filter((s) => s.held).length;
}

async function addPending(out: Pending, trouble: string | undefined, since: number | undefined): Promise<void> {
  if (trouble !== undefined) out.attention++;
  else if (since !== undefined) {
    out.pending++;
    out.oldest = out.oldest === 0 ? since : Math.min(out.oldest, since);
  }
}

const unsent = (k: Kept): boolean => k.doc !== undefined && (hasContent(k.doc) || k.doc.closing !== undefined || k.stopped !== undefined) && !isStored(k);

async function ownSealed(keep: Keep): Promise<Sealed[]> {
  return (await allSealed()).filter((s) => s.account === keep.account);
}

/** The ids of what the server has not confirmed. */
export async function unsentIDs(keep: Keep): Promise<string[]> {
  const open = (await keep.all()).filter((k) => k.trouble !== undefined || unsent(k)).map((k) => k.id);
  const sealed = (await ownSealed(keep)).filter((s) => !s.letter && s.storedAt === undefined).map((s) => s.id);
  return [...open, ...sealed];
}

/** Sends everything that is due, oldest first. A refused session never holds up the next. */
export async function flush(keep: Keep): Promise<Pending> {
  const out = { ...NONE_PENDING };
  for (const entry of await keep.all()) {
    try {
      const k = await closeIfOverdue(keep, entry);
      if (!k || (isStored(k) && k.trouble === undefined)) continue;
      await attempt(out, k.trouble, k.changed, () => send(keep, k));
    } catch {
      out.attention++; // it is unreadable; the others continue
    }
  }
  const sealed = (await ownSealed(keep)).filter(unconfirmed);
  for (const s of sealed.filter((x) => !x.letter)) await attempt(out, s.trouble, s.at, () => sendSealed(s));
  out.quarantined = await countQuarantined(keep);
  for (const l of (await keep.letters()).filter(unconfirmed)) await attemptLetter(out, l.trouble, () => sendLetter(keep, l));
  for (const s of sealed.filter((x) => x.letter)) await attemptLetter(out, s.trouble, () => sendSealed(s));
  return countLetters(keep, out);
}

async function attemptLetter(out: Pending, trouble: string | undefined, go: () => Promise<SendResult>): Promise<void> {
  if (trouble === undefined && !isBlocked(out)) noteBlock(out, await go());
}

/** Whether the server is not to be asked again in this attempt. */
const isBlocked = (out: Pending): boolean => out.offline || out.signIn || out.portal || out.after > 0;

function noteBlock(out: Pending, h: SendResult): void {
  if (h.answer === "offline") out.offline = true;
  if (h.answer === "portal") out.portal = true;
  if (h.answer === "sign_in") out.signIn = true;
  if (h.after !== undefined) out.after = Math.max(out.after, h.after);
}

async function attempt(out: Pending, trouble: string | undefined, since: number, go: () => Promise<SendResult>): Promise<void> {
  if (trouble !== undefined) {
    out.attention++;
    return;
  }
  const h: SendResult = isBlocked(out) ? { answer: "later" } : await go();
  noteBlock(out, h);
  if (h.answer === "attention") out.attention++;
  else if (h.answer !== "stored" && h.answer !== "erased") await addPending(out, undefined, since);
}

/**
 * Closes sessions that were stopped or left open, and deletes those that never started. Sessions that someone
 * continues in the meantime are left alone.
 */
export async function closeIfOverdue(keep: Keep, k: Kept, now = false): Promise<Kept | undefined> {
  if (k.doc.closing) return k;
  const age = Date.now() - k.changed;
  const overdue = now || (k.stopped !== undefined ? Math.abs(Date.now() - k.stopped.at) > STOP_UNDO : Math.abs(age) > FORGOTTEN);
  if (!hasContent(k.doc) && k.stopped === undefined && k.receipt === undefined) {
    if (overdue) await keep.remove(k.id);
    return undefined;
  }
  if (!overdue) return k;
  const done = toKept(closedWhere(k.doc, lastKnown(k)));
  return (await keep.change(k, () => done)) ? done : undefined;
}
