// What belongs to the phone and not to one account: whose pages it shows, whether it is locked, which thumb taps. And
// the sealed sessions of whoever has signed out: nobody here can read them. No name of anybody is in either.

import { openDB } from "idb";
import type { DBSchema, IDBPDatabase } from "idb";

/** The phone's own notes. */
export interface Phone {
  /** Whose pages are shown; an opaque id. */
  current?: string;
  /** Nothing is shown until somebody unlocks. */
  locked?: boolean;
  /** The server still has to be told that this phone was signed out. */
  tellLock?: boolean;
  /** That it shall forget the person as well. */
  forGood?: boolean;
  /** The accounts whose sealing was begun and is not yet finished (one text, by builds before November 2026). */
  sealing?: string[] | string;
  hand?: "start" | "end";
  /** In which language exact words are shown, where there are several. */
  say?: string;
}

/** A session that only the server can open. */
export interface Sealed {
  id: string;
  account: string;
  /** Exactly what is sent. */
  body: string;
  /** When it was sealed, by this phone's clock. */
  at: number;
  /** The hash of the open document, if that had a receipt already: then it only waits to be looked for again. */
  stored?: string;
  /** When the receipt came, by this phone's clock. */
  storedAt?: number;
  /** It is stored, and a person at the clinic looks at it before it counts. */
  held?: boolean;
  trouble?: string;
}

interface PhoneSchema extends DBSchema {
  notes: { key: string; value: unknown };
}
interface SealedSchema extends DBSchema {
  sealed: { key: string; value: Sealed; indexes: { account: string } };
}

/** Whether a database is of a later build than this page, which was put back to an older one. Every build has only added,
 * so that it can be opened as it is. */
export const laterBuild = (error: unknown): boolean => (error as { name?: string } | null)?.name === "VersionError";

const PATIENCE = [100, 400, 1500]; // ms between two attempts to open one
let pauses = PATIENCE; // none once all have failed: nobody waits at every page for a browser that keeps nothing

/** Opens a database. A browser that was killed may need a moment before it opens again what it had open: only one that
 * refuses is taken at its word. */
export async function patiently<T>(open: () => Promise<T>): Promise<T> {
  for (let n = 0; ; n++) {
    try {
      const opened = await open();
      pauses = PATIENCE;
      return opened;
    } catch (error) {
      const pause = refused(error) ? undefined : pauses[n];
      if (pause === undefined) {
        pauses = [];
        throw error;
      }
      await new Promise((again) => setTimeout(again, pause));
    }
  }
}

const refused = (error: unknown): boolean => (error as { name?: string } | null)?.name === "SecurityError";

let phone: Promise<IDBPDatabase<PhoneSchema>> | undefined;
let sealed: Promise<IDBPDatabase<SealedSchema>> | undefined;

function openPhone(): Promise<IDBPDatabase<PhoneSchema>> {
  phone ??= patiently(() =>
    openDB<PhoneSchema>("newel-phone", 1, {
      upgrade: (db) => void db.createObjectStore("notes"),
      blocking: (_c, _b, event) => close(event),
      terminated: () => (phone = undefined),
    }).catch((error: unknown) => asItIs<PhoneSchema>("newel-phone", error)),
  );
  phone.catch(() => (phone = undefined));
  return phone;
}

function openSealed(): Promise<IDBPDatabase<SealedSchema>> {
  sealed ??= patiently(() =>
    openDB<SealedSchema>("newel-sealed", 1, {
      upgrade: (db) => void db.createObjectStore("sealed", { keyPath: "id" }).createIndex("account", "account"),
      blocking: (_c, _b, event) => close(event),
      terminated: () => (sealed = undefined),
    }).catch((error: unknown) => asItIs<SealedSchema>("newel-sealed", error)),
  );
  sealed.catch(() => (sealed = undefined));
  return sealed;
}

function asItIs<S extends DBSchema>(name: string, error: unknown): Promise<IDBPDatabase<S>> {
  if (!laterBuild(error)) throw error;
  return openDB<S>(name, undefined, { blocking: (_c, _b, event) => close(event), terminated: () => (phone = sealed = undefined) });
}

function close(event: IDBVersionChangeEvent): void {
  (event.target as IDBDatabase).close();
  phone = sealed = undefined;
}

let memory: Phone = {};

// Other tabs of this phone hear when it is locked or becomes somebody else's; where there are no channels (Safari before
// 15.4) they notice when they are looked at.
const tabs = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("newel-phone");

/** Calls fn when another tab has locked the phone, or given it to somebody else. */
export function onHandedOver(fn: () => void): void {
  tabs?.addEventListener("message", fn);
}

/** What the phone knows of itself; empty where nothing can be kept. */
export async function readPhone(): Promise<Phone> {
  try {
    return ((await (await openPhone()).get("notes", "phone")) as Phone | undefined) ?? memory;
  } catch {
    return memory;
  }
}

/** Changes some of it; done when it is on the medium. */
export async function notePhone(change: Partial<Phone> | ((now: Phone) => Partial<Phone>)): Promise<Phone> {
  const changed = (from: Phone): Phone => ({ ...from, ...(typeof change === "function" ? change(from) : change) });
  memory = changed(memory);
  try {
    const tx = (await openPhone()).transaction("notes", "readwrite", { durability: "strict" });
    const before = ((await tx.store.get("phone")) as Phone | undefined) ?? {};
    const now = changed(before);
    await Promise.all([tx.store.put(now, "phone"), tx.done]);
    memory = now;
    if (before.locked !== now.locked || before.current !== now.current) tabs?.postMessage("");
    return now;
  } catch {
    return memory;
  }
}

/** The accounts whose sealing is not yet finished. */
export const sealingOf = (phone: Phone): string[] => (typeof phone.sealing === "string" ? [phone.sealing] : (phone.sealing ?? [])).filter((a) => a !== "");

/** Takes a lease if nobody else has it: the fallback where the browser knows no locks. */
export async function lease(name: string, owner: string, ms: number): Promise<boolean> {
  try {
    const tx = (await openPhone()).transaction("notes", "readwrite");
    const held = (await tx.store.get(name)) as { owner: string; until: number } | undefined;
    const free = !held || held.owner === owner || held.until < Date.now() || held.until > Date.now() + 10 * 60_000;
    if (free) await tx.store.put({ owner, until: Date.now() + ms }, name);
    await tx.done;
    return free;
  } catch {
    return true; // sending twice is harmless, only wasteful
  }
}

export async function putSealed(s: Sealed): Promise<void> {
  const tx = (await openSealed()).transaction("sealed", "readwrite", { durability: "strict" });
  await Promise.all([tx.store.put(s), tx.done]);
}

export async function allSealed(): Promise<Sealed[]> {
  try {
    return await (await openSealed()).getAll("sealed");
  } catch {
    return [];
  }
}

export async function removeSealed(id: string): Promise<void> {
  await (await openSealed()).delete("sealed", id);
}
