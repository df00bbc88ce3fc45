import type { Page } from "@playwright/test";

/** One session as the phone stores it. */
export interface KeptHere {
  id: string;
  body: string;
  receipt?: { sha256: string };
  trouble?: string;
  doc: { author: string; closing?: unknown; trials: KeptTrial[] };
}

interface KeptTrial {
  n: number;
  rev: number;
  void?: boolean;
}

/** The contents of one object store of the page's origin; empty if there is no such database. */
export async function stored<T>(page: Page, database: string, store: string): Promise<T[]> {
  return page.evaluate(
    async ([name, from]) => {
      const known = await indexedDB.databases();
      if (!known.some((d) => d.name === name)) return [];
      const db = await new Promise<IDBDatabase>((done, failed) => {
        const opening = indexedDB.open(name!);
        opening.onsuccess = () => done(opening.result);
        opening.onerror = () => failed(opening.error ?? new Error("open"));
      });
      if (!db.objectStoreNames.contains(from!)) {
        db.close();
        return [];
      }
      const all = await new Promise<unknown[]>((done, failed) => {
        const asking = db.transaction(from!).objectStore(from!).getAll();
        asking.onsuccess = () => done(asking.result as unknown[]);
        asking.onerror = () => failed(asking.error ?? new Error("read"));
      });
      db.close();
      return all as never[];
    },
    [database, store],
  );
}

/** The account whose pages are shown. */
export async function account(page: Page): Promise<string> {
  const [notes] = await stored<{ current?: string }>(page, "newel-phone", "notes");
  return notes?.current ?? "";
}

/** The sessions of the account whose pages are shown. */
export async function sessions(page: Page): Promise<KeptHere[]> {
  return sessionsIn(page, "newel-" + (await account(page)));
}

/** The sessions in one database, including the taps stored separately. */
export async function sessionsIn(page: Page, database: string): Promise<KeptHere[]> {
  const all = await stored<KeptHere>(page, database, "recordings");
  for (const tap of await stored<{ id: string; n: number; rev: number; trial: KeptTrial }>(page, database, "taps")) {
    const doc = all.find((k) => k.id === tap.id)?.doc;
    if (!doc || doc.closing || doc.trials.some((t) => t.n === tap.n && t.rev >= tap.rev)) continue;
    doc.trials = [...doc.trials.filter((t) => t.n !== tap.n), tap.trial].sort((x, y) => x.n - y.n);
  }
  return all;
}

/** Everything that this origin has stored, as one text: databases, caches and web storage. */
export async function everythingKept(page: Page): Promise<string> {
  return page.evaluate(async () => {
    const out: string[] = [JSON.stringify(localStorage), JSON.stringify(sessionStorage), document.cookie];
    for (const { name } of await indexedDB.databases()) {
      const db = await new Promise<IDBDatabase>((done) => {
        const opening = indexedDB.open(name ?? "");
        opening.onsuccess = () => done(opening.result);
      });
      out.push(name ?? "");
      for (const store of Array.from(db.objectStoreNames)) {
        const all = await new Promise<unknown>((done) => {
          const asking = db.transaction(store).objectStore(store).getAll();
          asking.onsuccess = () => done(asking.result);
        });
        out.push(store, JSON.stringify(all));
      }
      db.close();
    }
    for (const name of await caches.keys()) {
      const cache = await caches.open(name);
      for (const request of await cache.keys()) out.push(request.url, (await (await cache.match(request))?.text()) ?? "");
    }
    return out.join("\n");
  });
}
