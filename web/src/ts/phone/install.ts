// The service worker: registered once, and told to take over only when no session is being recorded on this
// phone.

import { withTabLock, RECORDING_LOCK } from "./tablock";

interface Persisting {
  persist?(): Promise<boolean>;
  persisted?(): Promise<boolean>;
}

/** Whether the pages work without signal. */
export async function offlineReady(): Promise<boolean> {
  if (!("serviceWorker" in navigator)) return false;
  try {
    return ((await navigator.serviceWorker.getRegistration())?.active ?? null) !== null;
  } catch {
    return false;
  }
}

let due = false; // another worker took over while a session was open: this page still consists of the previous files

/** Registers the worker. A phone on which that fails continues with signal. */
export async function install(busy: () => boolean): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  const first = navigator.serviceWorker.controller === null;
  let reloading = first; // the first worker does not affect this page
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (reloading) {
      reloading = false;
      return;
    }
    if (busy()) {
      due = true; // its own files are kept until it is done
      return;
    }
    reloading = true;
    location.reload();
  });
  try {
    const registration = await navigator.serviceWorker.register("/sw.js", { scope: "/", updateViaCache: "none" });
    registration.addEventListener("updatefound", () => {
      registration.installing?.addEventListener("statechange", () => void takeOver(registration));
    });
    await takeOver(registration);
  } catch {
    // No https, a private window, a worker that cannot be loaded: the page works as it is.
  }
}

/** Lets a waiting worker take over, unless a session is open in some tab. */
export async function takeOver(registration?: ServiceWorkerRegistration): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  if (due && !registration) return location.reload();
  const r = registration ?? (await navigator.serviceWorker.getRegistration());
  if (!r?.waiting || !navigator.serviceWorker.controller) return;
  await withTabLock(RECORDING_LOCK, async () => r.waiting?.postMessage("take-over"));
}

const storage = (): Persisting | undefined => (navigator as unknown as { storage?: Persisting }).storage;

/**
 * Asks the browser not to clear storage. Some browsers ask the person, who may never answer, so nothing waits
 * for this.
 */
export async function persist(): Promise<void> {
  try {
    if (!(await persisted())) await storage()?.persist?.();
  } catch {
    // What it does not promise is shown (persisted).
  }
}

/** Whether the browser has promised not to clear storage. */
export async function persisted(): Promise<boolean> {
  try {
    return (await storage()?.persisted?.()) === true;
  } catch {
    return false;
  }
}
