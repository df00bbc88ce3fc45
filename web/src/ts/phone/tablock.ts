// Mutual exclusion across the tabs of this phone: the browser's locks, or a lease in the phone's database if
// there are none (Safari before 15.4).

import { lease } from "./phonedb";

interface Locks {
  request<T>(name: string, options: { ifAvailable: boolean }, fn: (lock: unknown) => Promise<T>): Promise<T>;
}

const LEASE = 45_000; // ms; renewed while it is held
const owner = String(Math.random()).slice(2);

const locks = (): Locks | undefined => (navigator as unknown as { locks?: Locks }).locks;

/** Runs fn unless another tab is running it; undefined if it was not run. */
export async function withTabLock<T>(name: string, fn: () => Promise<T>): Promise<T | undefined> {
  const l = locks();
  if (l) return l.request(name, { ifAvailable: true }, (lock) => (lock ? fn() : Promise.resolve(undefined)));
  if (!(await lease(name, owner, LEASE))) return undefined;
  const renew = setInterval(() => void lease(name, owner, LEASE), LEASE / 3);
  try {
    return await fn();
  } finally {
    clearInterval(renew);
    await lease(name, owner, 0);
  }
}

/** Holds a name until the returned function is called; undefined if another tab holds it. */
export function acquireTabLock(name: string): Promise<(() => void) | undefined> {
  return new Promise((done) => {
    void withTabLock(name, () => new Promise<void>((release) => done(release))).then(() => done(undefined));
  });
}

/** The lock name for recording a session. */
export const RECORDING_LOCK = "newel-recording";
