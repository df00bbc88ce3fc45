// The rescue file: everything of this account that the server has not confirmed, sealed, to be carried by
// hand.

import { allSealed, closeIfOverdue, hasContent, isStored, post, seal } from "../face/base";
import type { Rescued } from "../contract";
import type { Keep } from "../keep";

const RESCUE_PATIENCE = 300_000; // ms; a file may hold months

/** Makes the file; only one session if an id is given. */
export async function rescueFile(keep: Keep, only?: string): Promise<string> {
  const key = await keep.sealKey();
  if (!key) throw new Error("no key");
  const sealed: unknown[] = [];
  for (const k of await keep.all()) {
    if (only !== undefined && k.id !== only) continue;
    // A session still being recorded is saved in its current state and stays open here. An unreadable one is
    // included as it is, and does not keep the others out of the file.
    const whole = !k.doc || k.doc.closing ? k : ((await closeIfOverdue(keep, k)) ?? (await keep.get(k.id)));
    if (whole?.doc && !hasContent(whole.doc) && !whole.doc.closing && whole.stopped === undefined) continue; // never started
    if (whole?.body && !isStored(whole)) sealed.push(JSON.parse(await seal(whole.body, whole.id, key)));
  }
  for (const l of await keep.letters()) {
    if (l.storedAt === undefined && (only === undefined || l.id === only)) sealed.push(JSON.parse(await seal(l.body, l.id, key)));
  }
  for (const s of await allSealed()) {
    if (s.account === keep.account && s.storedAt === undefined && (only === undefined || s.id === only)) sealed.push(JSON.parse(s.body));
  }
  return JSON.stringify({ contract: 1, sealed });
}

/** Offers a text as a download. */
export function download(text: string, name: string): void {
  const a = document.createElement("a");
  a.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  a.download = name;
  document.body.appendChild(a);
  a.click();
  document.body.removeChild(a);
  setTimeout(() => URL.revokeObjectURL(a.href), 60_000);
}

/** Sends a file and returns the outcome for each session in words; undefined if it could not be sent. */
export async function sendFile(file: File): Promise<string[] | undefined> {
  try {
    const response = await post("/phone/rescue", JSON.parse(await file.text()), RESCUE_PATIENCE);
    if (!response.ok) return undefined;
    return ((await response.json()) as Rescued).items.map((i) => i.text);
  } catch {
    return undefined;
  }
}
