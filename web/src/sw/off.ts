// The worker that is served in place of the other when an operator has switched that off: it takes the pages that were
// kept, and itself, off the phone. What waits to be sent stays, and so do its spare copies.

import { SPARES } from "../ts/phone/sparename";

interface Life extends Event {
  waitUntil(p: Promise<unknown>): void;
}
interface Worker {
  registration: { unregister(): Promise<boolean> };
  skipWaiting(): Promise<void>;
  addEventListener(kind: "install" | "activate", fn: (e: Life) => void): void;
}
const worker = self as unknown as Worker;

async function gone(): Promise<void> {
  try {
    const sets = (await caches.keys()).filter((name) => name !== SPARES);
    await Promise.all(sets.map((name) => caches.delete(name)));
  } finally {
    await worker.registration.unregister(); // also when a cache cannot be deleted: without a worker no page is read from it
  }
}

// It does not wait for anybody: a page that is being used goes on in memory, and is not loaded anew while a session is open.
worker.addEventListener("install", (e) => e.waitUntil(worker.skipWaiting()));
worker.addEventListener("activate", (e) => e.waitUntil(gone()));
