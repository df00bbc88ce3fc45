// The service worker: the phone's pages without signal. It caches two documents without personal content and
// the files that they need, as one set per build, plus the previous set. Everything else goes to the
// network and is never cached: no shared cache ever contains anything about a person, unless it is sealed
// (spare.ts).

import { SPARES } from "../ts/phone/sparename";

declare const NEWEL_ASSETS: string[];
declare const NEWEL_BUILD: string;

interface Life extends Event {
  waitUntil(p: Promise<unknown>): void;
}
interface Fetch extends Event {
  readonly request: Request;
  respondWith(r: Promise<Response>): void;
}
interface Worker {
  NEWEL_SHELL?: string; // the server appends it to this script
  clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(kind: "install" | "activate", fn: (e: Life) => void): void;
  addEventListener(kind: "fetch", fn: (e: Fetch) => void): void;
  addEventListener(kind: "message", fn: (e: MessageEvent) => void): void;
}
const worker = self as unknown as Worker;

const SHELL = "/today";
const OFFLINE = "/offline";
const NOTES = "newel-notes";
const PATHS = /^\/(?:today|leave|teach\/[^/]+|record\/[^/]+)$/;

// Pages that the server renders for a caregiver. Without signal, the phone shows its person's own copy of them.
const COPIED = /^\/(?:messages|questions|agreed|incidents|progress\/[^/]+)$/;
const PATIENCE = 15_000; // ms for the first byte of such a page

const setName = (): string => "newel-" + NEWEL_BUILD + "-" + (worker.NEWEL_SHELL ?? "0");

async function fetched(path: string): Promise<Response> {
  // Without cookies, so that the response is the same for everyone. A file is named by its content and need
  // not be fetched twice.
  const response = await fetch(path, { credentials: "omit", cache: path.startsWith("/assets/") ? "default" : "no-cache", redirect: "error" });
  if (!response.ok) throw new Error(path + ": " + String(response.status));
  return response;
}

/** All or nothing: an incomplete set is useless. */
async function install(): Promise<void> {
  const paths = [SHELL, OFFLINE, ...NEWEL_ASSETS];
  const answers = await Promise.all(paths.map(fetched));
  const set = await caches.open(setName());
  await Promise.all(paths.map((path, i) => set.put(path, answers[i]!)));
}

/** Keeps this set and the previous one, which an open page may still use. */
async function tidy(): Promise<void> {
  const notes = await caches.open(NOTES);
  const known = await notes.match("/sets");
  const before = known ? ((await known.json()) as string[]) : [];
  const sets = [setName(), ...before.filter((s) => s !== setName())].slice(0, 2);
  await notes.put("/sets", new Response(JSON.stringify(sets)));
  const names = await caches.keys();
  await Promise.all(names.filter((n) => n !== NOTES && n !== SPARES && !sets.includes(n)).map((n) => caches.delete(n)));
  await worker.clients.claim();
}

async function shell(request: Request): Promise<Response> {
  const set = await caches.open(setName());
  return (await set.match(SHELL)) ?? fetch(request);
}

/** The page from the server, or the document that shows the phone's copy. */
async function page(request: Request): Promise<Response> {
  try {
    return await Promise.race([fetch(request), new Promise<never>((_, late) => setTimeout(() => late(new Error("no answer")), PATIENCE))]);
  } catch (error) {
    const document = await (await caches.open(setName())).match(OFFLINE);
    if (document) return document;
    throw error;
  }
}

async function asset(request: Request): Promise<Response> {
  return (await caches.match(request, { ignoreVary: true })) ?? fetch(request);
}

worker.addEventListener("install", (e) => e.waitUntil(install()));
worker.addEventListener("activate", (e) => e.waitUntil(tidy()));
worker.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin) return;
  if (e.request.mode === "navigate") {
    if (PATHS.test(url.pathname)) e.respondWith(shell(e.request));
    else if (COPIED.test(url.pathname)) e.respondWith(page(e.request));
  } else if (url.pathname.startsWith("/assets/")) {
    e.respondWith(asset(e.request));
  }
});
// A page asks for it when no session is being recorded anywhere on this phone.
worker.addEventListener("message", (e) => {
  if (e.data === "take-over") void worker.skipWaiting();
});
