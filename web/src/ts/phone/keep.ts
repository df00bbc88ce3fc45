// What is stored of one account on this phone: its sessions, its day, its kits. Each account has its own
// database, and every session is durable before the screen says so. Whatever cannot be stored is reported,
// never ignored.

import { openDB, unwrap } from "idb";
import type { DBSchema, IDBPDatabase } from "idb";
import type { DayKit, Kit, PhoneDay, PictureRef, Receipt, RecordingDocument, SealKey, Trial } from "./contract";
import { lastMoment } from "./document";
import { newID } from "../shared/id";
import { laterBuild, patiently } from "./phonedb";
import { dropSpares, Spares, takeSpares } from "./spare";

/** When the session was stopped: by this phone's clock, and in ms from the start. */
export interface Stopped {
  at: number;
  ms: number;
}

/** The state of one face: which one, and what only that one reads. */
export interface FaceState {
  name: string;
  state: unknown;
}

/** What is stored with a session's document, and never sent. */
export type Aside = Pick<Kept, "stopped" | "face" | "ms">;

/** One stored session. */
export interface Kept {
  id: string;
  placement: string;
  doc: RecordingDocument;
  /** Exactly what is sent: sending the session again sends the same bytes. */
  body: string;
  /** When it was last changed here, by this phone's clock. */
  changed: number;
  /**
   * How far the session was at the last change, in ms from its start. Its trials may be later: a tap is stored
   * separately.
   */
  ms?: number;
  /** What the face that records it keeps for itself, such as a running clock (face/face.ts). Never sent. */
  face?: FaceState;
  /** The stop, until it can no longer be undone and closes the session. */
  stopped?: Stopped;
  receipt?: Receipt;
  /** When the receipt arrived, by this phone's clock. */
  storedAt?: number;
  /** The server does not accept it as it is. It stays, and others are still sent. */
  trouble?: string;
}

/**
 * A tap that is not in its session's document yet: stored separately, so that a tap costs the same at the end
 * of a long session.
 */
export interface Tap {
  id: string;
  n: number;
  rev: number;
  trial: Trial;
  changed: number;
}

/** What someone said about a program here: about the child's no, or "I have read this". */
export interface Talk {
  id: string;
  assignment: string;
  /** In their words; without: "we talked about it". */
  line?: string;
  /** By this phone's clock: in ms, and as it is sent. */
  made: number;
  at: string;
  /** The day that was stored here when the server had recorded it. */
  noted?: string;
}

/** Something written here that the server has to receive: a message, an answer, an incident. It never changes. */
export interface Letter {
  id: string;
  kind: LetterKind;
  /** The page on which it was written. */
  path: string;
  /** What was written, as the page shows it again. */
  text: string;
  /** Exactly what is sent. */
  body: string;
  /** When it was written, by this phone's clock. */
  at: number;
  /** When the receipt arrived, by this phone's clock. */
  storedAt?: number;
  /** Why the server does not accept it. It stays, and others are still sent. */
  trouble?: string;
}

export type LetterKind = "message" | "answer" | "incident" | "incident_note";

/** A page as the server rendered it for this account. */
export interface PageCopy {
  title: string;
  /** The content of its main part. */
  html: string;
  /** When it was rendered, by this phone's clock. */
  at: number;
  /** What the day said about it then: a different day makes it stale. */
  mark: string;
}

/** What this account's pages remember. */
export interface Notes {
  talks: Talk[];
  /** For programs whose teaching was read. */
  reads: Talk[];
  /** Placements or kits that are new since someone last looked. */
  changed: string[];
  /** Put off for a day: no reason is asked, nothing is counted. */
  notToday: { day: string; assignments: string[] };
  /** Lost sessions that the person has been told about. */
  told: string[];
  /** When talks were made here that the server did not accept; until the person has read it. */
  untaken: number[];
  /** How many sessions were restored from backup copies, until the person has read it. */
  spared: number;
  /** When the stored day was requested, by this phone's clock; 0 if unknown. */
  asked: number;
  /** The server's name for the content of the stored day; empty if it was changed here. */
  tag: string;
}

const NO_NOTES: Notes = { talks: [], reads: [], changed: [], notToday: { day: "", assignments: [] }, told: [], untaken: [], spared: 0, asked: 0, tag: "" };

/** A picture as stored: a private window of Safari stores no Blob. */
export interface PictureBytes {
  type: string;
  bytes: ArrayBuffer;
}

/** The stores of an account. */
export interface Schema extends DBSchema {
  recordings: { key: string; value: Kept };
  device: { key: string; value: string };
  day: { key: string; value: PhoneDay };
  kits: { key: string; value: DayKit };
  notes: { key: string; value: Notes };
  taps: { key: [string, number, number]; value: Tap };
  pictures: { key: string; value: PictureBytes | Blob }; // (Blobs, by builds before November 2026)
  letters: { key: string; value: Letter };
  pages: { key: string; value: PageCopy }; // by path
}

const VERSION = 4;
const ALL = ["recordings", "taps", "device", "day", "kits", "notes", "pictures", "letters", "pages"] as const;
/** The stores with readable content. */
const READABLE = ["day", "kits", "notes", "pictures", "pages"] as const;
const SESSIONS: ("recordings" | "taps")[] = ["recordings", "taps"];

/** The name of an account's database. */
export const databaseOf = (account: string): string => "newel-" + account;

/** What is stored of one account on this phone. */
export class Keep {
  private db: IDBPDatabase<Schema> | undefined;
  private memory: Map<string, Kept> | undefined;
  private over = false;
  private unkept: { day?: PhoneDay; kits: Map<string, DayKit>; notes: Notes } = { kits: new Map(), notes: NO_NOTES };
  private readonly shown = new Map<string, PictureBytes>(); // pictures, if nothing can be stored
  private readonly spares: Spares;

  constructor(readonly account: string) {
    this.spares = new Spares(account, () => this.sealKey());
  }

  /** Whether stored data survives this page. */
  get durable(): boolean {
    return this.memory === undefined;
  }

  private async open(): Promise<IDBPDatabase<Schema>> {
    if (this.over) throw new Error("this account has left the page");
    if (this.db) return this.db;
    const how = {
      blocking: () => this.close(),
      // The system may close the connection at any time; the next use opens a new one.
      terminated: () => (this.db = undefined),
    };
    this.db = await openDB<Schema>(databaseOf(this.account), VERSION, {
      ...how,
      // Only adds: an older page finds what it knows.
      upgrade(db) {
        if (!db.objectStoreNames.contains("recordings")) db.createObjectStore("recordings", { keyPath: "id" });
        if (!db.objectStoreNames.contains("taps")) db.createObjectStore("taps", { keyPath: ["id", "n", "rev"] });
        if (!db.objectStoreNames.contains("letters")) db.createObjectStore("letters", { keyPath: "id" }); // before the rest, which have no key path
        for (const name of ALL) if (!db.objectStoreNames.contains(name)) db.createObjectStore(name as "device");
      },
    }).catch((error: unknown) => {
      if (!laterBuild(error)) throw error;
      return openDB<Schema>(databaseOf(this.account), undefined, how);
    });
    return this.db;
  }

  /** Ends it: work started before writes nothing more. */
  end(): void {
    this.over = true;
    this.close();
  }

  close(): void {
    this.db?.close();
    this.db = undefined;
  }

  /** Checks whether anything can be stored; continues in memory if not. */
  async ready(): Promise<void> {
    try {
      await patiently(() => this.open());
    } catch {
      this.memory = new Map();
    }
  }

  /** Restores backup copies of what the browser has deleted. Sessions that are here take precedence. */
  async takeBack(): Promise<void> {
    if (this.memory) return;
    try {
      const here = [...(await this.all()), ...(await this.letters())].map((k) => k.id);
      const n = await takeSpares(this.account, new Set(here));
      if (n > 0) await this.note((notes) => ({ ...notes, spared: notes.spared + n }));
    } catch {
      // They stay where they are until the next start.
    }
  }

  /** The name of this phone, generated once. */
  async device(): Promise<string> {
    if (this.memory) return "unkept-" + newID(Date.now());
    return this.twice(async (db) => {
      const tx = db.transaction("device", "readwrite", { durability: "strict" });
      const known = await tx.store.get("id");
      const id = known ?? newID(Date.now());
      if (known === undefined) await tx.store.put(id, "id");
      await tx.done;
      return id;
    });
  }

  /** Writes a session in a single transaction; resolves when it is durable. */
  async put(row: Kept): Promise<void> {
    if (this.memory) {
      this.memory.set(row.id, row);
      return;
    }
    const put = this.twice(async (db) => {
      const tx = db.transaction(SESSIONS, "readwrite", { durability: "strict" });
      await Promise.all([tx.objectStore("recordings").put(row), tx.objectStore("taps").delete(tapsOf(row.id)), tx.done]);
    });
    await Promise.all([put, this.spares.put(row)]);
  }

  /** Writes one tap of a session; resolves when it is durable. Writes the session as well if it is gone. */
  async tap(doc: RecordingDocument, trial: Trial, aside: Aside = {}): Promise<void> {
    const row: Tap = { id: doc.id, n: trial.n, rev: trial.rev, trial, changed: Date.now() };
    if (this.memory) return this.put(toKept(doc, aside));
    const [known] = await Promise.all([this.twice((db) => putTap(unwrap(db) as IDBDatabase, row)), this.spares.put({ id: doc.id, doc, changed: row.changed })]);
    if (!known) await this.put(toKept(doc, aside));
  }

  /** Changes a session if it is still the one that the change was based on; returns whether it was. */
  async change(kept: Kept, to: (now: Kept) => Kept): Promise<boolean> {
    if (this.memory) {
      const now = this.memory.get(kept.id);
      if (now?.body !== kept.body) return false;
      this.memory.set(kept.id, to(now));
      return true;
    }
    return this.twice(async (db) => {
      const tx = db.transaction(SESSIONS, "readwrite", { durability: "strict" });
      const stored = await tx.objectStore("recordings").get(kept.id);
      const now = stored && folded(stored, await tx.objectStore("taps").getAll(tapsOf(kept.id)));
      const same = now?.body === kept.body;
      if (now && same) {
        await tx.objectStore("recordings").put(to(now));
        await tx.objectStore("taps").delete(tapsOf(kept.id));
      }
      await tx.done;
      return same;
    });
  }

  async get(id: string): Promise<Kept | undefined> {
    if (this.memory) return this.memory.get(id);
    return this.twice(async (db) => {
      const tx = db.transaction(SESSIONS);
      const [stored, taps] = await Promise.all([tx.objectStore("recordings").get(id), tx.objectStore("taps").getAll(tapsOf(id))]);
      return stored && folded(stored, taps);
    });
  }

  /** Every session, oldest first. An unreadable one does not hold back the others. */
  async all(): Promise<Kept[]> {
    const list = this.memory ? [...this.memory.values()] : await this.twice(readAll);
    return list.sort((a, b) => (a.id < b.id ? -1 : 1));
  }

  async remove(id: string): Promise<void> {
    if (this.memory) {
      this.memory.delete(id);
      return;
    }
    await this.twice(async (db) => {
      const tx = db.transaction(SESSIONS, "readwrite");
      await Promise.all([tx.objectStore("recordings").delete(id), tx.objectStore("taps").delete(tapsOf(id)), tx.done]);
    });
    await dropSpares(id);
  }

  /** Stores a letter; resolves when it is durable. Fails if nothing can be stored. */
  async putLetter(letter: Letter): Promise<void> {
    if (this.memory) throw new Error("nothing can be stored");
    const put = this.twice(async (db) => {
      const tx = db.transaction("letters", "readwrite", { durability: "strict" });
      await Promise.all([tx.store.put(letter), tx.done]);
    });
    await Promise.all([put, this.spares.putLetter(letter)]);
  }

  /** Every letter, oldest first. */
  async letters(): Promise<Letter[]> {
    if (this.memory) return [];
    const list = await this.twice((db) => db.getAll("letters"));
    return list.sort((a, b) => (a.id < b.id ? -1 : 1));
  }

  /** Notes what became of a letter, if it is still here. */
  async noteLetter(id: string, to: Pick<Letter, "storedAt" | "trouble">): Promise<void> {
    await this.twice(async (db) => {
      const tx = db.transaction("letters", "readwrite", { durability: "strict" });
      const now = await tx.store.get(id);
      if (now) {
        const { storedAt: _, trouble: __, ...written } = now;
        await tx.store.put({ ...written, ...to });
      }
      await tx.done;
    });
  }

  async removeLetter(id: string): Promise<void> {
    if (this.memory) return;
    await this.twice((db) => db.delete("letters", id));
    await dropSpares(id);
  }

  /** The copy of a page, by its path. */
  async page(path: string): Promise<PageCopy | undefined> {
    return this.memory ? undefined : this.twice((db) => db.get("pages", path));
  }

  async putPage(path: string, copy: PageCopy): Promise<void> {
    if (!this.memory) await this.twice((db) => db.put("pages", copy, path));
  }

  /** Deletes the copies of all pages but these. */
  async keepPages(paths: string[]): Promise<void> {
    if (this.memory) return;
    await this.twice(async (db) => {
      const tx = db.transaction("pages", "readwrite");
      for (const old of await tx.store.getAllKeys()) if (!paths.includes(old)) await tx.store.delete(old);
      await tx.done;
    });
  }

  async day(): Promise<PhoneDay | undefined> {
    return this.memory ? this.unkept.day : this.twice((db) => db.get("day", "day"));
  }

  /** The key to seal to. It outlives the day: what could not be sealed at once is sealed later. */
  async sealKey(): Promise<SealKey | undefined> {
    if (this.memory) return this.unkept.day?.seal_key;
    const kept = await this.twice((db) => db.get("device", "seal"));
    return kept === undefined ? (await this.day())?.seal_key : (JSON.parse(kept) as SealKey);
  }

  async kit(placement: string): Promise<DayKit | undefined> {
    return this.memory ? this.unkept.kits.get(placement) : this.twice((db) => db.get("kits", placement));
  }

  async putKit(kit: DayKit): Promise<void> {
    if (this.memory) this.unkept.kits.set(kit.kit.placement, kit);
    else await this.twice((db) => db.put("kits", kit, kit.kit.placement));
  }

  async notes(): Promise<Notes> {
    if (this.memory) return this.unkept.notes;
    return { ...NO_NOTES, ...(await this.twice((db) => db.get("notes", "notes"))) };
  }

  /** Changes the notes; resolves when they are durable. */
  async note(change: (n: Notes) => Notes): Promise<Notes> {
    if (this.memory) return (this.unkept.notes = change(this.unkept.notes));
    return this.twice(async (db) => {
      const tx = db.transaction("notes", "readwrite", { durability: "strict" });
      const now = change({ ...NO_NOTES, ...(await tx.store.get("notes")) });
      await Promise.all([tx.store.put(now, "notes"), tx.done]);
      return now;
    });
  }

  /** Stores a day with its kits, and what it changed, all or nothing. Kits of open sessions stay. */
  async putDay(day: PhoneDay, change: (n: Notes) => Notes): Promise<void> {
    if (this.memory) {
      this.unkept = { day, kits: new Map(day.kits.map((k) => [k.kit.placement, k])), notes: change(this.unkept.notes) };
      return;
    }
    const open = new Set((await this.all()).filter((k) => !k.doc?.closing).map((k) => k.placement));
    await this.twice(async (db) => {
      const tx = db.transaction(["day", "kits", "notes", "device"], "readwrite", { durability: "strict" });
      await tx.objectStore("day").put(day, "day");
      await tx.objectStore("device").put(JSON.stringify(day.seal_key), "seal");
      const kits = tx.objectStore("kits");
      const named = new Set(day.kits.map((k) => k.kit.placement));
      for (const old of await kits.getAllKeys()) if (!named.has(old) && !open.has(old)) await kits.delete(old);
      for (const kit of day.kits) await kits.put(kit, kit.kit.placement);
      const notes = tx.objectStore("notes");
      await notes.put(change({ ...NO_NOTES, ...(await notes.get("notes")) }), "notes");
      await tx.done;
    });
  }

  /**
   * The pictures that kits refer to and that are not here yet; deletes those that no kit refers to any more.
   */
  async missingPictures(): Promise<string[]> {
    if (this.memory) return namesOf([...this.unkept.kits.values()]).filter((p) => !this.shown.has(p));
    return this.twice(async (db) => {
      const tx = db.transaction(["kits", "pictures"], "readwrite");
      const named = namesOf(await tx.objectStore("kits").getAll());
      const here = await tx.objectStore("pictures").getAllKeys();
      for (const old of here) if (!named.includes(old)) await tx.objectStore("pictures").delete(old);
      await tx.done;
      return named.filter((p) => !here.includes(p));
    });
  }

  async picture(sha256: string): Promise<Blob | undefined> {
    const kept = this.memory ? this.shown.get(sha256) : await this.twice((db) => db.get("pictures", sha256));
    return !kept || kept instanceof Blob ? kept : new Blob([kept.bytes], { type: kept.type });
  }

  async putPicture(sha256: string, picture: PictureBytes): Promise<void> {
    if (this.memory) this.shown.set(sha256, picture);
    else await this.twice((db) => db.put("pictures", picture, sha256));
  }

  /** Runs fn on the account's database; undefined if nothing can be stored. */
  async within<T>(fn: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T | undefined> {
    return this.memory ? undefined : this.twice(fn);
  }

  /** Notes that the person has a PIN now. */
  async notePIN(): Promise<void> {
    if (this.memory) return;
    await this.twice(async (db) => {
      const tx = db.transaction("day", "readwrite", { durability: "strict" });
      const day = await tx.store.get("day");
      if (day) await tx.store.put({ ...day, pin_set: true }, "day"); // (the server names this day differently, too)
      await tx.done;
    });
  }

  /**
   * Deletes everything readable, and those sessions and letters that are unchanged since they were sealed
   * (their bodies by id). Returns whether nothing is left; what was written since then remains.
   */
  async empty(copied: Map<string, string>): Promise<boolean> {
    let all = true;
    if (this.memory) {
      this.memory.clear();
      this.shown.clear();
      this.unkept = { kits: new Map(), notes: NO_NOTES };
      return true;
    }
    await this.twice(async (db) => {
      const tx = db.transaction([...SESSIONS, "letters" as const, ...READABLE], "readwrite", { durability: "strict" });
      const letters = tx.objectStore("letters");
      all = true;
      for (const id of await letters.getAllKeys()) {
        if (copied.has(id)) await letters.delete(id);
        else all = false;
      }
      const recordings = tx.objectStore("recordings");
      for (const id of await recordings.getAllKeys()) {
        const stored = copied.has(id) ? await recordings.get(id) : undefined;
        if (!stored || folded(stored, await tx.objectStore("taps").getAll(tapsOf(id))).body !== copied.get(id)) {
          all = false;
          continue;
        }
        await recordings.delete(id);
        await tx.objectStore("taps").delete(tapsOf(id));
      }
      for (const name of READABLE) await tx.objectStore(name).clear();
      await tx.done;
    });
    return all;
  }

  /** Retries once on a new connection, in case the first one was stale. */
  private async twice<T>(fn: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
    try {
      return await fn(await this.open());
    } catch {
      this.close();
      return fn(await this.open());
    }
  }
}

const tapsOf = (id: string): IDBKeyRange => IDBKeyRange.bound([id], [id, []]);

/**
 * One put, one check that the session is there, and the wait for durability. Without the library, because a
 * tap waits for this.
 */
function putTap(db: IDBDatabase, row: Tap): Promise<boolean> {
  return new Promise((done, failed) => {
    const tx = (db.transaction as (stores: string[], mode: "readwrite", how: { durability: "strict" }) => IDBTransaction).call(db, SESSIONS, "readwrite", { durability: "strict" });
    const session = tx.objectStore("recordings").getKey(row.id);
    tx.objectStore("taps").put(row);
    tx.oncomplete = () => done(session.result !== undefined);
    tx.onabort = tx.onerror = () => failed(tx.error ?? new Error("the tap was not stored"));
  });
}

/** A session including the taps stored separately. */
export function folded(k: Kept, taps: Tap[]): Kept {
  if (taps.length === 0 || !k.doc || k.doc.closing) return k;
  const trials = new Map(k.doc.trials.map((t) => [t.n, t]));
  let fresh = false;
  for (const { trial } of taps) {
    const before = trials.get(trial.n);
    if (before && before.rev >= trial.rev) continue;
    trials.set(trial.n, trial);
    fresh = true;
  }
  if (!fresh) return k;
  const doc = { ...k.doc, trials: [...trials.values()].sort((a, b) => a.n - b.n) };
  return { ...k, doc, body: JSON.stringify(doc), changed: Math.max(k.changed, ...taps.map((t) => t.changed)) };
}

/** The pictures that a kit may show. */
export function picturesOf(kit: Kit): PictureRef[] {
  return [kit, ...kit.targets, ...(kit.known ?? [])].reduce<PictureRef[]>((all, thing) => (thing.picture ? [...all, thing.picture] : all), []);
}

function namesOf(kits: DayKit[]): string[] {
  return [...new Set(kits.reduce<string[]>((all, { kit }) => [...all, ...picturesOf(kit).map((p) => p.sha256)], []))];
}

async function readAll(db: IDBPDatabase<Schema>): Promise<Kept[]> {
  try {
    const tx = db.transaction(SESSIONS);
    const [all, taps] = await Promise.all([tx.objectStore("recordings").getAll(), tx.objectStore("taps").getAll()]);
    return all.map((k) => folded(k, taps.filter((t) => t.id === k.id)));
  } catch {
    const found: Kept[] = [];
    for (const key of await db.getAllKeys("recordings")) {
      try {
        const k = await db.get("recordings", key);
        if (k) found.push(folded(k, await db.getAll("taps", tapsOf(key))));
      } catch {
        found.push({ id: key, trouble: "unreadable" } as Kept);
      }
    }
    return found;
  }
}

/** A session in the form in which it is stored. */
export function toKept(doc: RecordingDocument, aside: Aside = {}): Kept {
  const k: Kept = { id: doc.id, placement: doc.placement, doc, body: JSON.stringify(doc), changed: Date.now() };
  if (aside.stopped !== undefined) k.stopped = aside.stopped;
  if (aside.face !== undefined) k.face = aside.face;
  if (aside.ms !== undefined) k.ms = aside.ms;
  return k;
}

/** The last moment of a stored session that is known, in ms from its start. */
export function lastKnown(k: Pick<Kept, "doc" | "stopped" | "ms">): number {
  return k.stopped?.ms ?? Math.max(k.ms ?? 0, lastMoment(k.doc));
}
