// Where sessions are kept on this phone: one database for each account, every write finished on the medium before the
// screen says so. Whatever cannot be kept is said, never passed over.

import { openDB } from "idb";
import type { DBSchema, IDBPDatabase } from "idb";
import type { Receipt, RecordingDocument } from "./contract";
import { newID } from "./document";

/** When somebody stopped: by this phone's clock, and in ms from the start. */
export interface Stopped {
  at: number;
  ms: number;
}

/** One session as it is kept. */
export interface Kept {
  id: string;
  placement: string;
  doc: RecordingDocument;
  /** Exactly what is sent: the same session again is the same bytes again. */
  body: string;
  /** When it was last changed here, by this phone's clock. */
  changed: number;
  /** The stop, until it can no longer be undone and closes the session. */
  stopped?: Stopped;
  receipt?: Receipt;
  /** The server will not take it as it is. It stays, and others go on. */
  trouble?: string;
}

interface Schema extends DBSchema {
  recordings: { key: string; value: Kept };
  device: { key: string; value: string };
}

const VERSION = 1;

/** The sessions of one account on this phone. */
export class Keep {
  private db: IDBPDatabase<Schema> | undefined;
  private memory: Map<string, Kept> | undefined;

  constructor(readonly account: string) {}

  /** Whether what is kept survives this page. */
  get durable(): boolean {
    return this.memory === undefined;
  }

  private async open(): Promise<IDBPDatabase<Schema>> {
    if (this.db) return this.db;
    this.db = await openDB<Schema>("newel-" + this.account, VERSION, {
      upgrade(db) {
        db.createObjectStore("recordings", { keyPath: "id" });
        db.createObjectStore("device");
      },
      blocking: () => this.close(),
      // The system may take the connection away at any time; the next use opens another.
      terminated: () => (this.db = undefined),
    });
    return this.db;
  }

  private close(): void {
    this.db?.close();
    this.db = undefined;
  }

  /** Tries whether anything can be kept; goes on in memory if not. */
  async ready(): Promise<void> {
    try {
      await this.open();
    } catch {
      this.memory = new Map();
    }
  }

  /** The name of this phone, made once. */
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

  /** Writes a session; done only when it is on the medium. */
  async put(kept: Kept): Promise<void> {
    if (this.memory) {
      this.memory.set(kept.id, kept);
      return;
    }
    await this.twice(async (db) => {
      const tx = db.transaction("recordings", "readwrite", { durability: "strict" });
      await Promise.all([tx.store.put(kept), tx.done]);
    });
  }

  /** Changes a session if it is still as it was when the change was thought of. */
  async change(kept: Kept, to: Partial<Kept>): Promise<void> {
    const now = (await this.all()).find((k) => k.id === kept.id);
    if (now && now.body === kept.body) await this.put({ ...now, ...to });
  }

  async all(): Promise<Kept[]> {
    const list = this.memory ? [...this.memory.values()] : await this.twice((db) => db.getAll("recordings"));
    return list.sort((a, b) => (a.id < b.id ? -1 : 1));
  }

  async remove(id: string): Promise<void> {
    if (this.memory) {
      this.memory.delete(id);
      return;
    }
    await this.twice((db) => db.delete("recordings", id));
  }

  /** Does it once more on a fresh connection, should the first one have gone stale. */
  private async twice<T>(fn: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
    try {
      return await fn(await this.open());
    } catch {
      this.close();
      return fn(await this.open());
    }
  }
}

/** A session in the form in which it is kept. */
export function kept(doc: RecordingDocument, stopped?: Stopped): Kept {
  const k: Kept = { id: doc.id, placement: doc.placement, doc, body: JSON.stringify(doc), changed: Date.now() };
  if (stopped !== undefined) k.stopped = stopped;
  return k;
}
