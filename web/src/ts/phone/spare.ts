// A spare copy of every session that is not stored yet, in other files than the databases: a browser that finds those
// damaged takes all of an address's databases away at once. It is sealed, so that only the server can read it, and
// closed where the session stands: who has lost the rest can only send it. The databases are what is promised; where no
// copy can be made, or not soon, everything goes on without.

import type { RecordingDocument, SealKey } from "./contract";
import { closedWhere, lastMoment } from "./document";
import { allSealed, putSealed } from "./phonedb";
import type { Sealed } from "./phonedb";
import { canSeal, sealer } from "./seal";
import { SPARES } from "./sparename";

const PATIENCE = 300; // ms that a finger waits for it, and only once where it takes longer
const READING = 2000; // ms after which a cache that does not answer is taken for one that has nothing
const PATH = /^\/spare\/([^/]+)\/([^/]+)\/(\d+)$/;

/** What of a kept session goes into its copy. */
interface Copied {
  id: string;
  doc?: RecordingDocument;
  stopped?: { ms: number };
  changed: number;
}

interface Address {
  path: string;
  account: string;
  id: string;
  version: number;
}

const possible = (): boolean => canSeal() && typeof caches !== "undefined";

/** A number that rises with every change of a document: a newer copy never takes the place of the one before it, for it
 * may be cut off in the middle. */
function versionOf(d: RecordingDocument): number {
  const revised = [...d.trials, ...Object.keys(d.header).map((name) => d.header[name as "by"])];
  return revised.reduce((sum, r) => sum + (r?.rev ?? 0), d.closing ? 1 : 0);
}

/** Gives up on what takes too long: neither a start, nor the lock, nor sending may hang on a copy. */
function soon<T>(work: Promise<T>): Promise<T> {
  return Promise.race([work, new Promise<never>((_, failed) => setTimeout(() => failed(new Error("the cache does not answer")), READING))]);
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
  private slow = false; // the one before took too long: nobody waits for the next
  private readonly newest = new Map<string, Address>(); // by session

  constructor(
    private readonly account: string,
    private readonly key: () => Promise<SealKey | undefined>,
  ) {}

  /** Copies a session as it stands; done when it is kept, or when that takes too long. */
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
    if (!seal || (doc.trials.length === 0 && !doc.closing && !k.stopped)) return;
    const body = await seal(JSON.stringify(closedWhere(doc, k.stopped?.ms ?? lastMoment(doc))));
    const copy: Sealed = { id: k.id, account: this.account, body, at: k.changed };
    const version = versionOf(doc);
    const made: Address = { path: ["/spare", this.account, k.id, version].join("/"), account: this.account, id: k.id, version };
    await cache.put(made.path, new Response(JSON.stringify(copy)));
    // Where nobody waits, an older copy may be finished after a newer one.
    const other = this.newest.get(k.id);
    if (!other || other.version < version) this.newest.set(k.id, made);
    const old = other && other.version < version ? other : made;
    if (other && other.version !== version) setTimeout(() => void cache.delete(old.path).catch(() => false), PATIENCE); // no finger waits for this
  }

  private sealerOf(id: string): Promise<((body: string) => Promise<string>) | undefined> {
    const known = this.sealers.get(id) ?? this.key().then((key) => key && sealer(id, key));
    this.sealers.set(id, known);
    known.then((seal) => seal ?? this.sealers.delete(id), () => this.sealers.delete(id));
    return known;
  }
}

/** Lets go of the copies of a session: it is stored, or wanted no more. */
export async function dropSpares(id: string): Promise<void> {
  try {
    const all = (await addresses()).filter((a) => a.id === id);
    if (all.length === 0) return;
    await soon(caches.open(SPARES).then((cache) => Promise.all(all.map((a) => cache.delete(a.path)))));
  } catch {
    // What stays is sent once more at worst, which changes nothing.
  }
}

/** The sessions of which there is a copy. */
export async function spares(): Promise<{ account: string; id: string }[]> {
  try {
    return (await addresses()).filter((a, i, all) => all.findIndex((b) => b.id === a.id) === i);
  } catch {
    return [];
  }
}

/** Takes an account's copies in, of sessions that are here no more: they lie sealed from then on and are sent like what was
 * sealed. here: the ids of those that are still here. How many came back. */
export async function takeSpares(account: string, here: Set<string>): Promise<number> {
  const mine = (await addresses()).filter((a) => a.account === account && !here.has(a.id));
  const sealed = new Set(mine.length === 0 ? [] : (await allSealed()).map((s) => s.id));
  let taken = 0;
  // The newest that can be read: the very last one may have been cut off.
  for (const a of mine.sort((x, y) => y.version - x.version)) {
    if (sealed.has(a.id)) continue;
    const copy = await read(a);
    if (!copy) continue;
    await putSealed(copy);
    sealed.add(a.id);
    taken++;
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
