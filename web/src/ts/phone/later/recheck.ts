// Verifies receipts a second time. The phone deletes a copy only if the server still has it a day after its
// receipt, because the server may have been restored from an older backup.

import { allSealed, confirmLetter, isStored, putSealed, removeSealed, sha256 } from "../face/base";
import { MAX_CHECKED, RECEIPTS_MEDIA_TYPE } from "../contract";
import type { Checked, Receipts } from "../contract";
import type { Keep } from "../keep";

const AFTER = 24 * 3_600_000; // ms after the receipt
const EVERY = 6 * 3_600_000; // ms between two checks of what has not changed

interface Due {
  ask: string;
  id: string;
  old: boolean;
  gone(): Promise<void>;
  again(): Promise<void>;
}

let last = 0;

async function due(keep: Keep): Promise<Due[]> {
  const out: Due[] = [];
  const old = (at: number | undefined): boolean => at === undefined || Math.abs(Date.now() - at) >= AFTER;
  for (const k of await keep.all()) {
    if (!k.doc?.closing || !isStored(k)) continue;
    const again = (): Promise<void> => {
      const { receipt: _, storedAt: __, ...unsent } = k;
      return keep.put(unsent);
    };
    out.push({ ask: k.id + "." + sha256(k.body), id: k.id, old: old(k.storedAt ?? k.changed), gone: () => keep.remove(k.id), again });
  }
  for (const s of await allSealed()) {
    if (s.account !== keep.account || s.storedAt === undefined || s.letter) continue;
    const again = (): Promise<void> => {
      const { storedAt: _, ...unsent } = s;
      return putSealed(unsent);
    };
    out.push({ ask: s.stored ? s.id + "." + s.stored : s.id + "." + sha256(s.body), id: s.id, old: old(s.storedAt), gone: () => removeSealed(s.id), again });
  }
  return out;
}

async function ask(list: Due[]): Promise<Checked[] | undefined> {
  const query = list.map((d) => "id=" + encodeURIComponent(d.ask)).join("&");
  try {
    const response = await fetch("/phone/receipts?" + query, { credentials: "same-origin", cache: "no-store", redirect: "error" });
    if (!response.ok || !(response.headers.get("Content-Type") ?? "").startsWith(RECEIPTS_MEDIA_TYPE)) return undefined;
    return ((await response.json()) as Receipts).receipts;
  } catch {
    return undefined;
  }
}

/** Confirms letters that got a receipt a day ago, and deletes them. */
export async function recheckLetters(keep: Keep): Promise<void> {
  const aged = (l: { storedAt?: number }): boolean => l.storedAt !== undefined && Math.abs(Date.now() - l.storedAt) >= AFTER;
  for (const l of (await keep.letters()).filter(aged)) if (await confirmLetter(l, false)) await keep.removeLetter(l.id);
  for (const s of (await allSealed()).filter((x) => x.letter && x.account === keep.account && aged(x))) if (await confirmLetter(s, true)) await removeSealed(s.id);
}

/** Checks what has a receipt. Returns how many sessions have to be sent again. */
export async function recheck(keep: Keep, now = false): Promise<number> {
  const all = await due(keep);
  const aged = all.filter((d) => d.old);
  // Sessions younger than a day are checked occasionally, so that a loss is noticed while the copy is
  // certainly here.
  if (!now && aged.length === 0 && Date.now() - last < EVERY) return 0;
  const list = (now || Date.now() - last >= EVERY ? all : aged).slice(0, MAX_CHECKED);
  if (list.length === 0) return 0;
  const answers = await ask(list);
  if (!answers) return 0;
  last = Date.now();
  let again = 0;
  for (const d of list) {
    const a = answers.find((x) => x.id === d.id);
    if (!a) continue;
    if (a.gone || (a.stored && a.closed && d.old)) await d.gone();
    else if (!a.stored) {
      await d.again();
      again++;
    }
  }
  return again;
}
