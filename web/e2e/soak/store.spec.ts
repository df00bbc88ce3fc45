import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { expect, test, type Page } from "@playwright/test";
import { Handset } from "../handset";

// What a browser preserves when it is killed while a bare page, without any of our code, writes. Shows
// whether the backup copies (docs/decisions/0014-spare-copies.md) are still needed and whether they are in a
// safe place. SOAK_KILLS: number of kills.

const kills = Number(process.env["SOAK_KILLS"] ?? 1000);

/** What a page of the address has stored: the numbers written into two databases, and into a cache. */
interface Found {
  databases: number[];
  cache: number[];
}

/** Opens everything for writing, and returns what is there. */
function opened(): Promise<Found> {
  const open = (name: string): Promise<IDBDatabase> =>
    new Promise((done, failed) => {
      const asking = indexedDB.open(name, 1);
      asking.onupgradeneeded = () => asking.result.createObjectStore("s");
      asking.onsuccess = () => done(asking.result);
      asking.onerror = () => failed(asking.error ?? new Error("open"));
    });
  const patient = async (name: string): Promise<IDBDatabase> => {
    for (let left = 10; ; left--) {
      try {
        return await open(name);
      } catch (error) {
        if (left === 0) throw error;
        await new Promise((again) => setTimeout(again, 300));
      }
    }
  };
  const keys = (db: IDBDatabase): Promise<number[]> =>
    new Promise((done, failed) => {
      const asking = db.transaction("s").objectStore("s").getAllKeys();
      asking.onsuccess = () => done(asking.result as number[]);
      asking.onerror = () => failed(asking.error ?? new Error("read"));
    });
  return (async () => {
    const databases = [await patient("a"), await patient("b")];
    const cache = await caches.open("c");
    const write = (n: number): Promise<unknown> => {
      const text = "x".repeat(3000 + (n % 3000));
      const put = new Promise<void>((done, failed) => {
        const tx = databases[n % 2]!.transaction("s", "readwrite", { durability: "strict" });
        tx.objectStore("s").put(text, n);
        tx.oncomplete = () => done();
        tx.onabort = () => failed(tx.error ?? new Error("write"));
      });
      return Promise.all([put, cache.put("/c" + String(n), new Response(text))]);
    };
    Object.assign(window, { write });
    const cached = (await cache.keys()).map((r) => Number(new URL(r.url).pathname.slice(2)));
    return { databases: [...(await keys(databases[0]!)), ...(await keys(databases[1]!))], cache: cached };
  })();
}

const write = (page: Page, n: number): Promise<unknown> => page.evaluate((m) => (window as unknown as { write(n: number): Promise<unknown> }).write(m), n);

test(`${kills} kills of a browser that writes`, async () => {
  const server = createServer((_, answer) => answer.setHeader("content-type", "text/html").end("<!doctype html><title>x</title>"));
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const url = `http://localhost:${(server.address() as AddressInfo).port}/`;
  const handset = await Handset.made();
  const said = new Set<number>(); // written, according to the page
  let [last, wiped, databasesLost, cacheLost] = [0, 0, 0, 0];
  try {
    for (let n = 1; n <= kills; n++) {
      const page = await handset.page();
      await page.goto(url);
      const found = await page.evaluate(opened);
      const gone = (list: number[]): number => [...said].filter((x) => !list.includes(x)).length;
      const [lostThere, lostHere] = [gone(found.databases), gone(found.cache)];
      if (lostThere + lostHere > 0) {
        console.log(`before kill ${n}: of ${said.size}, ${lostThere} gone from the databases, ${lostHere} from the cache`, handset.complaints.splice(0).join("\n"));
        wiped += lostThere === said.size ? 1 : 0;
        databasesLost += lostThere;
        cacheLost += lostHere;
        said.clear(); // counted from here
      }
      for (let writes = 1 + Math.floor(Math.random() * 4); writes > 0; writes--) {
        await write(page, ++last);
        said.add(last);
      }
      void write(page, ++last).catch(() => undefined); // this one is in flight
      await new Promise((later) => setTimeout(later, Math.random() * 30));
      await handset.kill();
      await handset.on();
      if (n % 100 === 0) console.log(`${n} kills, ${last} writes: all databases gone ${wiped} times; entries gone: ${databasesLost} from the databases, ${cacheLost} from the cache`);
    }
  } finally {
    await handset.end();
    server.close();
  }
  expect(cacheLost).toBe(0);
});
