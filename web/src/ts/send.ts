// Sending what is kept. Only a receipt for exactly these bytes makes anything stored: a network's sign-in page also
// answers 200.

import { MEDIA_TYPE, RECEIPT_MEDIA_TYPE, SENT_HEADER } from "./contract";
import type { Receipt } from "./contract";
import { closedWhere, deviceTime, lastMoment } from "./document";
import { kept as keptOf } from "./keep";
import type { Keep, Kept } from "./keep";
import { sha256 } from "./sha256";

export type Answer = "stored" | "later" | "offline" | "sign_in" | "attention" | "erased";

/** How long a stop can be undone, in ms. */
export const STOP_UNDO = 10_000;

const PATIENCE = 30_000; // ms for one answer
const FORGOTTEN = 12 * 3_600_000; // ms after which a session left open is closed where it ended
const RECHECK = 24 * 3_600_000; // ms after which a receipt is asked for again, before the copy here is let go
const KEEPALIVE_MOST = 60_000; // bytes; browsers allow 64 KiB for what outlives a page (Fetch standard)

/** Whether exactly what is kept has a receipt. */
export function isStored(k: Kept): boolean {
  return k.receipt !== undefined && k.receipt.sha256 === sha256(k.body);
}

async function receiptIn(response: Response, k: Kept): Promise<Receipt | undefined> {
  const type = response.headers.get("Content-Type") ?? "";
  if (!type.startsWith(RECEIPT_MEDIA_TYPE)) return undefined;
  try {
    const receipt = (await response.json()) as Receipt;
    return receipt.id === k.id && receipt.sha256 === sha256(k.body) ? receipt : undefined;
  } catch {
    return undefined; // cut short on its way
  }
}

function request(k: Kept, sinceStart: number | undefined, leaving: boolean, signal: AbortSignal): Promise<Response> {
  const sent = deviceTime(new Date()) + (sinceStart === undefined ? "" : "; ms=" + String(Math.round(sinceStart)));
  return fetch("/recordings/" + k.id, {
    method: "PUT",
    headers: { "Content-Type": MEDIA_TYPE, [SENT_HEADER]: sent },
    body: k.body,
    credentials: "same-origin",
    cache: "no-store",
    redirect: "error",
    keepalive: leaving && k.body.length < KEEPALIVE_MOST,
    signal,
  });
}

/** Sends one session and keeps what came of it. sinceStart: the monotonic clock, if it has run through. */
export async function send(keep: Keep, k: Kept, sinceStart?: number, leaving = false): Promise<Answer> {
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), PATIENCE);
  try {
    const response = await request(k, sinceStart, leaving, abort.signal);
    return await heard(keep, k, response);
  } catch {
    return "offline";
  } finally {
    clearTimeout(timer);
  }
}

async function heard(keep: Keep, k: Kept, response: Response): Promise<Answer> {
  switch (response.status) {
    case 200:
    case 201: {
      const receipt = await receiptIn(response, k);
      if (!receipt) return "later";
      await keep.change(k, { receipt });
      return "stored";
    }
    case 401:
      return "sign_in";
    case 410:
      await keep.remove(k.id);
      return "erased";
    case 403:
    case 413:
    case 415:
    case 422:
      await keep.change(k, { trouble: String(response.status) });
      return "attention";
    default:
      return "later";
  }
}

/** What waits on this phone. */
export interface Waiting {
  waiting: number;
  attention: number;
  signIn: boolean;
}

/** Sends everything that is due, the oldest first. One that is refused never keeps the next from going. */
export async function flush(keep: Keep): Promise<Waiting> {
  const out: Waiting = { waiting: 0, attention: 0, signIn: false };
  let reachable = true;
  for (const entry of await keep.all()) {
    const k = await settled(keep, entry);
    if (!k) continue;
    if (k.trouble !== undefined) {
      out.attention++;
      continue;
    }
    if (isStored(k)) {
      if (reachable) reachable = (await recheck(keep, k)) !== "offline";
      continue;
    }
    const answer = reachable && !out.signIn ? await send(keep, k) : "later";
    if (answer === "offline") reachable = false;
    if (answer === "sign_in") out.signIn = true;
    if (answer === "attention") out.attention++;
    else if (answer !== "stored" && answer !== "erased") out.waiting++;
  }
  return out;
}

/** Closes what was stopped or left open, and lets go of what never began. */
async function settled(keep: Keep, k: Kept): Promise<Kept | undefined> {
  if (k.doc.closing) return k;
  const age = Date.now() - k.changed;
  const overdue = k.stopped !== undefined ? Date.now() - k.stopped.at > STOP_UNDO : age > FORGOTTEN;
  if (k.doc.trials.length === 0 && k.stopped === undefined && k.receipt === undefined) {
    if (age > FORGOTTEN) await keep.remove(k.id);
    return undefined;
  }
  if (!overdue) return k;
  const done = keptOf(closedWhere(k.doc, k.stopped?.ms ?? lastMoment(k.doc)));
  await keep.put(done);
  return done;
}

/** Asks for an old receipt again; only then is the copy here let go. */
async function recheck(keep: Keep, k: Kept): Promise<Answer> {
  if (!k.doc.closing || Date.now() - k.changed < RECHECK) return "stored";
  const answer = await send(keep, k);
  if (answer === "stored") await keep.remove(k.id);
  return answer;
}
