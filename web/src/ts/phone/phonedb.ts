// What belongs to the phone rather than to one account: whose pages it shows, whether it is locked, which
// thumb taps. Also the sealed sessions of people who signed out, which no one here can read. Neither contains
// anyone's name.

import { openDB } from "idb";
import type { DBSchema, IDBPDatabase } from "idb";

/** The phone's own state. */
export interface Phone {
  /** Whose pages are shown; an opaque id. */
  current?: string;
  /** Nothing is shown until someone unlocks. */
  locked?: boolean;
  /** The server still has to be told that this phone was signed out. */
  tellLock?: boolean;
  /**
   * The account that unlocked without signal and that the server may still hold as locked: its PIN is due at
   * the next contact.
   */
  away?: string;
  /** Also tell it to forget the person. */
  forGood?: boolean;
  /**
   * The accounts whose sealing was started and is not finished (a single text in builds before November
   * 2026).
   */
  sealing?: string[] | string;
  hand?: "start" | "end";
  /** Whether it vibrates, unless chosen otherwise, and makes a sound when a time is over, only if chosen. */
  vibrate?: boolean;
  sound?: boolean;
  /** The language in which exact words are shown, if there are several. */
  say?: string;
}

/** A session or a letter that only the server can open. */
export interface Sealed {
  id: string;
  account: string;
  /** A letter, and not a session. */
  letter?: boolean;
  /** Exactly what is sent. */
  body: string;
  /** When it was sealed, by this phone's clock. */
  at: number;
  /** The hash of the open document if it already has a receipt: then it is only checked again. */
  stored?: string;
  /** When the receipt arrived, by this phone's clock. */
  storedAt?: number;
  /** Quarantined, by the name it has in this database: stored, but not counted until someone at the clinic checks it. */
  held?: boolean;
  trouble?: string;
}

interface PhoneSchema extends DBSchema {
  notes: { key: string; value: unknown };
}
interface SealedSchema extends DBSchema {
  sealed: { key: string; value: Sealed; indexes: { account: string } };
}

/**
 * Whether a database is from a later build than this page, which was rolled back. Every build has only added
 * to it, so it can be opened as it is.
 */
export const laterBuild = (error: unknown): boolean => (error as { name?: string } | null)?.name === "VersionError";

const PATIENCE = [100, 400, 1500]; // ms between two attempts to open one
let pauses = PATIENCE; // none once all have failed: pages must not wait for a browser that stores nothing

/**
 * Opens a database. After being killed, a browser may need a moment before it reopens what it had open, so
 * give up only on repeated refusals.
 */
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

// Other tabs of this phone are told when it is locked or handed over; without channels (Safari before 15.4)
// they notice when they become visible.
const tabs = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("newel-phone");

/** Calls fn when another tab has locked the phone or handed it to someone else. */
export function onHandedOver(fn: () => void): void {
  tabs?.addEventListener("message", fn);
}

/** The phone's state; empty if nothing can be stored. */
export async function readPhone(): Promise<Phone> {
  try {
    return ((await (await openPhone()).get("notes", "phone")) as Phone | undefined) ?? memory;
  } catch {
    return memory;
  }
}

/** Changes part of it; resolves when it is durable. */
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

/** The accounts whose sealing is not finished. */
export const sealingOf = (phone: Phone): string[] => (typeof phone.sealing === "string" ? [phone.sealing] : (phone.sealing ?? [])).filter((a) => a !== "");

/** Takes a lease if no one else has it: the fallback for browsers without locks. */
export async function lease(name: string, owner: string, ms: number): Promise<boolean> {
  try {
    const tx = (await openPhone()).transaction("notes", "readwrite");
    const current = (await tx.store.get(name)) as { owner: string; until: number } | undefined;
    const free = !current || current.owner === owner || current.until < Date.now() || current.until > Date.now() + 10 * 60_000;
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
