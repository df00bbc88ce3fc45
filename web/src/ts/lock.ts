// Leaving the phone to somebody else. What this account has not got confirmed is sealed, everything readable goes, and
// only a count stays to be seen. Begun once it is finished, whatever happens in between.

import type { SealKey } from "./contract";
import { Keep, databaseOf } from "./keep";
import type { Kept } from "./keep";
import { allSealed, notePhone, putSealed, readPhone } from "./phonedb";
import type { Sealed } from "./phonedb";
import { canSeal, seal } from "./seal";
import { isStored, settled } from "./send";
import { sha256 } from "./sha256";

/** Whether what waits could be sealed now. */
export async function maySeal(keep: Keep): Promise<boolean> {
  if (!canSeal() || !keep.durable) return false;
  return (await keep.day()) !== undefined;
}

async function sealOne(keep: Keep, k: Kept, key: SealKey): Promise<void> {
  const done = await settled(keep, k, true);
  if (!done) return;
  const sealed: Sealed = { id: done.id, account: keep.account, body: await seal(done.body, done.id, key), at: done.changed };
  if (isStored(done)) {
    sealed.stored = sha256(done.body);
    sealed.storedAt = done.storedAt ?? done.changed;
  }
  if (done.trouble !== undefined) sealed.trouble = done.trouble;
  await putSealed(sealed);
}

/** Seals an account's sessions and takes everything readable away. What cannot be sealed stays, rather than be lost. */
export async function shut(account: string): Promise<void> {
  await notePhone({ sealing: account });
  const keep = new Keep(account);
  await keep.ready();
  const stay = new Set<string>();
  const day = await keep.day();
  for (const k of await keep.all()) {
    try {
      if (!day || !canSeal()) throw new Error("no key");
      await sealOne(keep, k, day.seal_key);
    } catch {
      stay.add(k.id);
    }
  }
  await keep.empty(stay);
  keep.close();
  if (stay.size === 0 && keep.durable) await dropped(databaseOf(account));
  await notePhone({ sealing: "" });
}

function dropped(name: string): Promise<void> {
  return new Promise((done) => {
    const asking = indexedDB.deleteDatabase(name);
    asking.onsuccess = asking.onerror = asking.onblocked = () => done(); // it is empty in any case
  });
}

/** Locks the phone: at once here, and at the server when it can be reached. */
export async function lockPhone(account: string): Promise<void> {
  await notePhone({ locked: true, tellLock: true, sealing: account });
  await shut(account);
  await tellLock();
}

/** Finishes what a killed page began. */
export async function finishLock(): Promise<void> {
  const phone = await readPhone();
  if (phone.sealing) await shut(phone.sealing);
}

/** Tells the server that this phone was signed out. True when it knows. */
export async function tellLock(): Promise<boolean> {
  if (!(await readPhone()).tellLock) return true;
  try {
    const response = await post("/phone/lock", { force: true });
    if (response.status !== 200 && response.status !== 401) return false;
    await notePhone({ tellLock: false });
    return true;
  } catch {
    return false;
  }
}

export function post(path: string, body: unknown): Promise<Response> {
  return fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    credentials: "same-origin",
    cache: "no-store",
    redirect: "error",
  });
}

/** How many sessions of anybody wait here, sealed. */
export async function sealedWaiting(): Promise<number> {
  return (await allSealed()).filter((s) => s.storedAt === undefined).length;
}
