// Unlocking by PIN without signal. When a phone is locked, what its person needs is sealed to a key of which
// the PIN is a part (docs/decisions/0022-unlocking-without-signal.md says what that protects and what not).
// The key pair is made when the PIN is set: locking needs only its public half, and no PIN.

import { canSeal, dayOnPhone, keyOf, openDB, seal } from "../face/base";
import type { DBSchema, IDBPDatabase } from "idb";
import type { DayKit, PhoneDay } from "../contract";
import type { Keep, Notes, PageCopy } from "../keep";

/** PBKDF2 rounds: what OWASP recommended for SHA-256 in 2023 (from memory); seconds on an old phone. */
const ROUNDS = 600_000;
/** How many wrong PINs are allowed in a row, and how long to wait after each, in ms. */
export const TRIES = 5;
const WAITS = [0, 5_000, 30_000, 300_000, 0];
/** How long what was sealed can be opened, in ms. */
const KEPT = 7 * 24 * 3_600_000;

/** What an account's pages show, as text. */
export interface Readable {
  day: PhoneDay;
  kits: DayKit[];
  notes: Notes;
  pictures: { name: string; type: string; bytes: string }[];
  pages: { path: string; copy: PageCopy }[];
}

interface Vault {
  account: string;
  initials: string;
  /** The public half of the key pair. */
  key: { kid: string; kty: string; crv: string; x: string; y: string };
  /** The private half, encrypted with a key derived from the PIN. */
  salt: Uint8Array;
  rounds: number;
  iv: Uint8Array;
  wrapped: ArrayBuffer;
  /** Wrong PINs in a row, and when the next may be tried, by this phone's clock. */
  tries: number;
  after: number;
  /** What was sealed, and when, by this phone's clock. */
  held?: { body: string; at: number };
}

interface Schema extends DBSchema {
  vaults: { key: string; value: Vault };
}

const open = (): Promise<IDBPDatabase<Schema>> => openDB<Schema>("newel-vault", 1, { upgrade: (db) => void db.createObjectStore("vaults", { keyPath: "account" }) });

async function using<T>(fn: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
  const db = await open();
  try {
    return await fn(db);
  } finally {
    db.close();
  }
}

/** Changes a vault; resolves with it when it is durable. Without a result nothing is changed. */
async function change(account: string, to: (v: Vault) => Vault | undefined): Promise<Vault | undefined> {
  return using(async (db) => {
    const tx = db.transaction("vaults", "readwrite", { durability: "strict" });
    const now = await tx.store.get(account);
    const then = now && to(now);
    if (then) await tx.store.put(then);
    await tx.done;
    return then;
  });
}

async function keyFrom(pin: string, salt: Uint8Array, rounds: number): Promise<CryptoKey> {
  const base = await crypto.subtle.importKey("raw", new TextEncoder().encode(pin), "PBKDF2", false, ["deriveKey"]);
  const how = { name: "PBKDF2", hash: "SHA-256", salt: salt as BufferSource, iterations: rounds };
  return crypto.subtle.deriveKey(how, base, { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
}

/** Makes the key pair of an account for a PIN that the server has just accepted. What was sealed before is gone. */
export async function makeVault(account: string, initials: string, pin: string): Promise<void> {
  if (!canSeal()) return;
  try {
    const pair = (await crypto.subtle.generateKey({ name: "ECDH", namedCurve: "P-256" }, true, ["deriveBits"])) as CryptoKeyPair;
    const [open, secret] = await Promise.all([crypto.subtle.exportKey("jwk", pair.publicKey), crypto.subtle.exportKey("jwk", pair.privateKey)]);
    const [salt, iv] = [crypto.getRandomValues(new Uint8Array(16)), crypto.getRandomValues(new Uint8Array(12))];
    const wrapped = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, await keyFrom(pin, salt, ROUNDS), new TextEncoder().encode(JSON.stringify(secret)));
    const key = { kid: "pin", kty: "EC", crv: "P-256", x: open.x ?? "", y: open.y ?? "" };
    await using((db) => db.put("vaults", { account, initials, key, salt, rounds: ROUNDS, iv, wrapped, tries: 0, after: 0 }));
  } catch {
    // The PIN works with signal only.
  }
}

/** Whether an account has a key pair, and so a PIN. */
export async function hasVault(account: string): Promise<boolean> {
  return using((db) => db.getKey("vaults", account)).then((key) => key !== undefined, () => false);
}

/** Forgets an account's key pair and what was sealed to it. */
export async function dropVault(account: string): Promise<void> {
  try {
    await using((db) => db.delete("vaults", account));
  } catch {
    // there is none
  }
}

/** Seals what an account's pages need, if it has a key pair. Nothing of it is readable without the PIN. */
export async function fillVault(keep: Keep): Promise<void> {
  try {
    const vault = await using((db) => db.get("vaults", keep.account));
    const content = await readable(keep);
    if (!vault || !content) return;
    // Sealed sessions cannot be read here any more, so a program that the child refused is paused in the day.
    const day = { ...content.day, kits: [], learners: dayOnPhone(content.day, await keep.all(), content.notes, "") };
    const body = await seal(JSON.stringify({ ...content, day, notes: { ...content.notes, tag: "" } }), keep.account, vault.key);
    await change(keep.account, (v) => ({ ...v, held: { body, at: Date.now() } }));
  } catch {
    // The person comes back with signal.
  }
}

/** Who can come back without signal. What was sealed long ago is deleted here. */
export async function vaults(): Promise<{ account: string; initials: string }[]> {
  try {
    const all = await using((db) => db.getAll("vaults"));
    for (const v of all) if (v.held && Math.abs(Date.now() - v.held.at) > KEPT) await change(v.account, ({ held: _, ...rest }) => rest);
    return all.filter((v) => v.held && Math.abs(Date.now() - v.held.at) <= KEPT).map(({ account, initials }) => ({ account, initials }));
  } catch {
    return [];
  }
}

/** The result of a PIN. left and wait (in ms) are of a wrong one. "spent": there were too many. */
export type Opening = { kind: "open"; content: Readable } | { kind: "wrong"; left: number; wait: number } | { kind: "wait"; wait: number } | { kind: "spent" } | { kind: "none" };

/**
 * Opens what was sealed. The try is counted before the PIN is checked, so that closing the page does not undo
 * it. known: the server has accepted this PIN, so it is no guess.
 */
export async function openVault(account: string, pin: string, known = false): Promise<Opening> {
  const before = await using((db) => db.get("vaults", account)).catch(() => undefined);
  if (!before?.held) return { kind: "none" };
  const wait = before.after - Date.now();
  if (!known && wait > 0 && wait <= Math.max(...WAITS)) return { kind: "wait", wait };
  const counted = await change(account, (v) => (known ? v : { ...v, tries: v.tries + 1, after: Date.now() + (WAITS[v.tries] ?? 0) }));
  if (!counted?.held) return { kind: "none" };
  const secret = await unwrapped(counted, pin);
  if (!secret) return wrong(counted);
  const content = JSON.parse(await opened(counted.held.body, account, secret)) as Readable;
  await change(account, ({ held: _, ...rest }) => ({ ...rest, tries: 0, after: 0 }));
  return { kind: "open", content };
}

async function unwrapped(v: Vault, pin: string): Promise<JsonWebKey | undefined> {
  try {
    const key = await keyFrom(pin, v.salt, v.rounds);
    const text = await crypto.subtle.decrypt({ name: "AES-GCM", iv: v.iv as BufferSource }, key, v.wrapped);
    return JSON.parse(new TextDecoder().decode(text)) as JsonWebKey;
  } catch {
    return undefined; // not this PIN
  }
}

async function wrong(v: Vault): Promise<Opening> {
  if (v.tries < TRIES) return { kind: "wrong", left: TRIES - v.tries, wait: Math.max(0, v.after - Date.now()) };
  await dropVault(v.account);
  return { kind: "spent" };
}

/** Reads both alphabets of base64. */
function fromBase64url(text: string): Uint8Array {
  const bytes = atob(text.replace(/-/g, "+").replace(/_/g, "/"));
  return Uint8Array.from(bytes, (c) => c.charCodeAt(0));
}

/** Opens what was sealed to a key pair whose private half is known. */
async function opened(body: string, id: string, secret: JsonWebKey): Promise<string> {
  const sealed = JSON.parse(body) as { epk: string; iv: string; data: string };
  const curve = { name: "ECDH", namedCurve: "P-256" };
  const epk = fromBase64url(sealed.epk) as BufferSource;
  const ours = await crypto.subtle.importKey("jwk", secret, curve, false, ["deriveBits"]);
  const theirs = await crypto.subtle.importKey("raw", epk, curve, false, []);
  const key = await keyOf(await crypto.subtle.deriveBits({ name: "ECDH", public: theirs }, ours, 256), epk, "decrypt");
  const how = { name: "AES-GCM", iv: fromBase64url(sealed.iv) as BufferSource, additionalData: new TextEncoder().encode(id) };
  return new TextDecoder().decode(await crypto.subtle.decrypt(how, key, fromBase64url(sealed.data) as BufferSource));
}

/** Everything readable of an account; undefined if nothing is stored. */
async function readable(keep: Keep): Promise<Readable | undefined> {
  const notes = await keep.notes();
  return keep.within(async (db) => {
    const tx = db.transaction(["day", "kits", "pictures", "pages"]);
    const [pictures, pages] = [tx.objectStore("pictures"), tx.objectStore("pages")];
    const [day, kits, names, paths] = await Promise.all([tx.objectStore("day").get("day"), tx.objectStore("kits").getAll(), pictures.getAllKeys(), pages.getAllKeys()]);
    if (!day) return undefined;
    const out: Readable = { day, kits, notes, pictures: [], pages: [] };
    for (const name of names) {
      const picture = await pictures.get(name);
      if (picture && !(picture instanceof Blob)) out.pictures.push({ name, type: picture.type, bytes: base64(picture.bytes) });
    }
    for (const path of paths) out.pages.push({ path, copy: (await pages.get(path))! });
    return out;
  });
}

/** Stores again what was readable before. */
export async function restore(keep: Keep, r: Readable): Promise<void> {
  await keep.putDay({ ...r.day, kits: r.kits }, (none) => ({ ...none, ...r.notes }));
  await keep.within(async (db) => {
    const tx = db.transaction(["pictures", "pages"], "readwrite", { durability: "strict" });
    for (const { name, type, bytes } of r.pictures) await tx.objectStore("pictures").put({ type, bytes: fromBase64url(bytes).buffer as ArrayBuffer }, name);
    for (const { path, copy } of r.pages) await tx.objectStore("pages").put(copy, path);
    await tx.done;
  });
}

function base64(bytes: ArrayBuffer): string {
  let text = "";
  const all = new Uint8Array(bytes);
  for (let i = 0; i < all.length; i += 8192) text += String.fromCharCode(...all.subarray(i, i + 8192));
  return btoa(text);
}
