// A backup copy of every session that is not stored yet, outside the databases: a browser that finds database
// files damaged deletes all databases of an origin at once. A copy is sealed so that only the server can read
// it, and closed at the session's current state, because a phone that lost everything else can only send it.
// The databases are what Newel promises; if a copy cannot be made, or takes too long, everything continues
// without it.

import type { RecordingDocument, SealKey } from "./contract";
import { closedWhere, hasContent, lastMoment } from "./document";
import { allSealed, putSealed } from "./phonedb";
import type { Sealed } from "./phonedb";
import { canSeal, seal, sealer } from "./seal";
import { SPARES } from "./sparename";

const PATIENCE = 300; // ms that a tap waits for it, and only once if it takes longer
const READING = 2000; // ms after which a cache that does not respond counts as empty
const LETTER = 0; // the version of a letter's copy, as a letter never changes; sessions begin with 1
const PATH = /^\/spare\/([^/]+)\/([^/]+)\/(\d+)$/;

/** What a copy contains of a stored session. */
interface Copied {
  id: string;
  doc?: RecordingDocument;
  stopped?: { ms: number };
  ms?: number;
  changed: number;
}

interface Address {
  path: string;
  account: string;
  id: string;
  version: number;
}

const possible = (): boolean => canSeal() && typeof caches !== "undefined";

/**
 * A number that increases with every change of a document. A newer copy never overwrites the previous one,
 * because writing may be interrupted.
 */
function versionOf(d: RecordingDocument): number {
  const revised = [...d.trials, ...Object.keys(d.header).map((name) => d.header[name as "by"])];
  return revised.reduce((sum, r) => sum + (r?.rev ?? 0), d.closing ? 1 : 0);
}

/** Gives up on slow work: neither starting, nor locking, nor sending may hang on a copy. */
function soon<T>(work: Promise<T>): Promise<T> {
  return Promise.race([work, new Promise<never>((_, failed) => setTimeout(() => failed(new Error("the cache does not respond")), READING))]);
}

const addresses = (): Promise<Address[]> => soon(list());

async function list(): Promise<Address[]> {
  if (!possible() || !(await caches.has(SPARES))) return [];
  const all = (await (await caches.open(SPARES)).keys()).map(({ url }) => PATH.exec(new URL(url).pathname));
  return all.reduce<Address[]>((out, m) => (m ? [...out, { path: m[0]!, account: m[1]!, id: m[2]!, version: Number(m[3]) }] : out), []);
}

/** Makes the copies of one account. */
export class Spares {
  private cache: Promise<Cache> | undefined;
  private readonly sealers = new Map<string, Promise<((body: string) => Promise<string>) | undefined>>();
  private slow = false; // the previous one took too long: do not wait for the next
  private readonly newest = new Map<string, Address>(); // by session

  constructor(
    private readonly account: string,
    private readonly key: () => Promise<SealKey | undefined>,
  ) {}

  /** Copies a session in its current state; resolves when it is stored, or when that takes too long. */
  async put(k: Copied): Promise<void> {
    const { doc } = k;
    if (!doc || !possible()) return;
    let late = false;
    const copied = this.write(k, doc)
      .catch(() => undefined)
      .then(() => void (this.slow &&= late));
    const over = new Promise<void>((done) => setTimeout(done, PATIENCE)).then(() => void (late = true));
    if (this.slow) return;
    await Promise.race([copied, over]);
    this.slow = late;
  }

  private async write(k: Copied, doc: RecordingDocument): Promise<void> {
    this.cache ??= caches.open(SPARES);
    this.cache.catch(() => (this.cache = undefined));
    const [cache, seal] = await Promise.all([this.cache, this.sealerOf(k.id)]);
    if (!seal || (!hasContent(doc) && !doc.closing && !k.stopped)) return;
    const body = await seal(JSON.stringify(closedWhere(doc, k.stopped?.ms ?? Math.max(k.ms ?? 0, lastMoment(doc)))));
    const copy: Sealed = { id: k.id, account: this.account, body, at: k.changed };
    const version = versionOf(doc);
    const made: Address = { path: ["/spare", this.account, k.id, version].join("/"), account: this.account, id: k.id, version };
    await cache.put(made.path, new Response(JSON.stringify(copy)));
    // Without waiting, an older copy may finish after a newer one.
    const other = this.newest.get(k.id);
    if (!other || other.version < version) this.newest.set(k.id, made);
    const old = other && other.version < version ? other : made;
    if (other && other.version !== version) setTimeout(() => void cache.delete(old.path).catch(() => false), PATIENCE); // off the tap path
  }

  /** Copies a letter; resolves when it is stored, or when that takes too long. */
  async putLetter(l: { id: string; body: string; at: number }): Promise<void> {
    if (!possible()) return;
    const copied = (async () => {
      const key = await this.key();
      if (!key) return;
      const copy: Sealed = { id: l.id, account: this.account, letter: true, body: await seal(l.body, l.id, key), at: l.at };
      await (await caches.open(SPARES)).put(["/spare", this.account, l.id, LETTER].join("/"), new Response(JSON.stringify(copy)));
    })();
    await Promise.race([copied.catch(() => undefined), new Promise<void>((done) => setTimeout(done, READING))]);
  }

  private sealerOf(id: string): Promise<((body: string) => Promise<string>) | undefined> {
    const known = this.sealers.get(id) ?? this.key().then((key) => key && sealer(id, key));
    this.sealers.set(id, known);
    known.then((seal) => seal ?? this.sealers.delete(id), () => this.sealers.delete(id));
    return known;
  }
}

/** Deletes the copies of a session that is stored or no longer wanted. */
export async function dropSpares(id: string): Promise<void> {
  try {
    const all = (await addresses()).filter((a) => a.id === id);
    if (all.length === 0) return;
    await soon(caches.open(SPARES).then((cache) => Promise.all(all.map((a) => cache.delete(a.path)))));
  } catch {
    // At worst, a remaining copy is sent again, which changes nothing.
  }
}

/** The sessions and letters that have a copy. */
export async function spares(): Promise<{ account: string; id: string; letter: boolean }[]> {
  try {
    return (await addresses()).filter((a, i, all) => all.findIndex((b) => b.id === a.id) === i).map((a) => ({ account: a.account, id: a.id, letter: a.version === LETTER }));
  } catch {
    return [];
  }
}

/**
 * Restores an account's copies of sessions that are no longer here. They are stored sealed and sent like
 * other sealed sessions; so are letters. here: the ids of those that are still here. Returns how many
 * sessions were restored.
 */
export async function takeSpares(account: string, here: Set<string>): Promise<number> {
  const mine = (await addresses()).filter((a) => a.account === account && !here.has(a.id));
  const sealed = new Set(mine.length === 0 ? [] : (await allSealed()).map((s) => s.id));
  let taken = 0;
  // The newest readable one: the very last may have been interrupted.
  for (const a of mine.sort((x, y) => y.version - x.version)) {
    if (sealed.has(a.id)) continue;
    const copy = await read(a);
    if (!copy) continue;
    await putSealed(copy);
    sealed.add(a.id);
    if (a.version !== LETTER) taken++;
  }
  return taken;
}

async function read(a: Address): Promise<Sealed | undefined> {
  try {
    const copy = (await soon(caches.open(SPARES).then(async (cache) => (await cache.match(a.path))?.json()))) as Sealed | undefined;
    return copy?.id === a.id && copy.account === a.account ? copy : undefined;
  } catch {
    return undefined;
  }
}
