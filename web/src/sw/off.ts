// The worker served in place of sw.ts when an operator has switched that off: it removes the cached pages and
// itself from the phone. Sessions waiting to be sent stay, and so do their backup copies.

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
    await worker.registration.unregister(); // even if a cache cannot be deleted: without a worker no page is read from it
  }
}

// It does not wait: a page in use continues in memory and does not reload while a session is open.
worker.addEventListener("install", (e) => e.waitUntil(worker.skipWaiting()));
worker.addEventListener("activate", (e) => e.waitUntil(gone()));
