// Handing the phone to someone else. Whatever the server has not confirmed of this account is sealed,
// everything readable is deleted, and only a count remains visible. Once started it is always finished,
// whatever happens in between.

import { withTabLock, RECORDING_LOCK } from "./tablock";
import type { SealKey } from "./contract";
import { Keep, databaseOf } from "./keep";
import type { Kept, Letter } from "./keep";
import { allSealed, notePhone, putSealed, readPhone, sealingOf } from "./phonedb";
import type { Phone, Sealed } from "./phonedb";
import { canSeal, seal } from "./seal";
import { isStored, closeIfOverdue, unsentIDs, unsentLetters } from "./send";
import { sha256 } from "./sha256";
import { spares } from "./spare";
import { say } from "./words";

const PATIENCE = 20_000; // ms

/** Whether unsent sessions could be sealed now. */
export async function canSealNow(keep: Keep): Promise<boolean> {
  return canSeal() && keep.durable && (await keep.sealKey()) !== undefined;
}

/**
 * How many sessions prevent an account from leaving this phone: signing out must leave nothing of it readable
 * and lose nothing.
 */
export async function countBlocking(keep: Keep): Promise<number> {
  const n = (await unsentIDs(keep)).length + (await unsentLetters(keep)).length;
  return n > 0 && !(await canSealNow(keep)) ? n : 0;
}

/** Seals one session and returns the sealed body; undefined if it was empty and has been deleted. */
async function sealOne(keep: Keep, k: Kept, key: SealKey): Promise<string | undefined> {
  const done = await closeIfOverdue(keep, k, true);
  if (!done) return undefined;
  const sealed: Sealed = { id: done.id, account: keep.account, body: await seal(done.body, done.id, key), at: done.changed };
  if (isStored(done)) {
    sealed.stored = sha256(done.body);
    sealed.storedAt = done.storedAt ?? done.changed;
  }
  if (done.trouble !== undefined) sealed.trouble = done.trouble;
  await putSealed(sealed);
  return done.body;
}

/** Seals what the PIN may open without signal, or forgets it if the person leaves for good. */
async function keepForPIN(keep: Keep): Promise<void> {
  try {
    const vault = await import("./later/vault");
    if ((await readPhone()).forGood) await vault.dropVault(keep.account);
    else await vault.fillVault(keep);
  } catch {
    // Without this file, the person comes back with signal.
  }
}

async function sealLetter(account: string, l: Letter, key: SealKey): Promise<Sealed> {
  const sealed: Sealed = { id: l.id, account, letter: true, body: await seal(l.body, l.id, key), at: l.at };
  if (l.storedAt !== undefined) sealed.storedAt = l.storedAt;
  if (l.trouble !== undefined) sealed.trouble = l.trouble;
  return sealed;
}

/**
 * Seals an account's sessions and letters and deletes everything readable. If sealing is impossible, it deletes sessions
 * that the server has confirmed. A session that should be sealed but cannot stays rather than being lost, and
 * is tried again at every start; the person leaving is asked first (countBlocking).
 */
export async function sealAccount(account: string): Promise<void> {
  await notePhone(addSealing(account));
  const keep = new Keep(account);
  await keep.ready();
  if (!keep.durable) return; // storage is not available now: try at the next start
  const copied = new Map<string, string>();
  const key = await keep.sealKey();
  for (const k of await keep.all()) {
    try {
      const body = key && canSeal() ? await sealOne(keep, k, key) : isStored(k) ? k.body : undefined;
      if (body !== undefined) copied.set(k.id, body);
    } catch {
      // One that cannot be read or sealed stays.
    }
  }
  for (const l of await keep.letters()) {
    try {
      if (key && canSeal()) await putSealed(await sealLetter(account, l, key));
      else if (l.storedAt === undefined) continue;
      copied.set(l.id, l.body);
    } catch {
      // it stays
    }
  }
  await keepForPIN(keep);
  const emptied = await keep.empty(copied);
  keep.close();
  // Not while another tab is recording: what it writes would be lost with the database.
  if (!emptied || !(await withTabLock(RECORDING_LOCK, () => deleteDatabase(databaseOf(account))))) return;
  await endSealing(account);
}

/** Notes, with another change of the phone's state, that an account's data has to be sealed. */
export const addSealing = (account: string) => (now: Phone): Partial<Phone> => ({ sealing: [...sealingOf(now).filter((a) => a !== account), account] });

/** Records that nothing of an account needs sealing any more: everything is sealed, or the person is back. */
export const endSealing = (account: string): Promise<Phone> => notePhone((now) => ({ sealing: sealingOf(now).filter((a) => a !== account) }));

function deleteDatabase(name: string): Promise<true> {
  return new Promise((done) => {
    const request = indexedDB.deleteDatabase(name);
    request.onsuccess = request.onerror = request.onblocked = () => done(true); // it is empty in any case
  });
}

/** Locks the phone at once. The server is told when it can be reached (reportLock). */
export async function lockPhone(account: string, forGood: boolean): Promise<void> {
  await notePhone((now) => ({ locked: true, tellLock: true, forGood, ...addSealing(account)(now) }));
  await sealAccount(account);
}

/** Finishes what a killed page started. */
export async function finishLock(): Promise<void> {
  for (const account of sealingOf(await readPhone())) await sealAccount(account);
}

let reporting: Promise<boolean> | undefined;

/**
 * Tells the server that this phone was signed out. True if it knows. One at a time: a delayed request would
 * sign out a person who has come back since.
 */
export function reportLock(): Promise<boolean> {
  reporting ??= sendLock().finally(() => (reporting = undefined));
  return reporting;
}

async function sendLock(): Promise<boolean> {
  const phone = await readPhone();
  if (!phone.tellLock) return true;
  try {
    const response = await post("/phone/lock", { force: true, for_good: phone.forGood ?? false });
    if (response.status !== 200 && response.status !== 401) return false;
    await notePhone({ tellLock: false, forGood: false });
    return true;
  } catch {
    return false;
  }
}

/** Sends something small; gives up if there is no response. */
export async function post(path: string, body: unknown, patience = PATIENCE): Promise<Response> {
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), patience);
  try {
    return await fetch(path, { ...requestOf(body), signal: abort.signal });
  } finally {
    clearTimeout(timer);
  }
}

function requestOf(body: unknown): RequestInit {
  return {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    credentials: "same-origin",
    cache: "no-store",
    redirect: "error",
  };
}

/** What other people of this phone still have to send. */
export interface Waiting {
  sessions: number;
  letters: number;
}

/**
 * How much that only the server can read is still to be sent, from anyone but this account. A backup copy that
 * is not also sealed counts as pending until its author is back.
 */
export async function sealedPending(except = ""): Promise<Waiting> {
  const sealed = await allSealed();
  const spare = (await spares()).filter((c) => c.account !== except && !sealed.some((s) => s.id === c.id));
  const all = [...sealed.filter((s) => s.account !== except && s.storedAt === undefined), ...spare];
  const letters = all.filter((s) => s.letter).length;
  return { sessions: all.length - letters, letters };
}

/** What waits of others, in words; empty if nothing does. */
export function othersText(w: Waiting): string {
  const parts: string[] = [];
  if (w.sessions > 0) parts.push(say("phone.others_wait", { n: w.sessions }));
  if (w.letters > 0) parts.push(say("phone.others_letters", { n: w.letters }));
  return parts.join(" ");
}
