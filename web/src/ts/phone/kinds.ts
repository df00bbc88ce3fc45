// Which kind of session is next, and which checks are due, as far as this phone knows.

import type { DayCheck, DayOffer } from "./contract";
import type { Kind } from "./document";
import type { Kept, Notes } from "./keep";

/** The closed sessions of a placement that the stored day does not know of, oldest first. */
function unlisted(placement: string, all: Kept[], notes: Notes): Kept[] {
  return all
    .filter((k) => k.placement === placement && k.doc?.closing && !(k.storedAt !== undefined && k.storedAt < notes.asked))
    .sort((a, b) => Date.parse(a.doc.closing!.ended_at) - Date.parse(b.doc.closing!.ended_at));
}

/** The kind of the next session of a program. What was planned and left out stays next. */
export function kindHere(o: DayOffer, all: Kept[], notes: Notes): Kind {
  const kinds = o.kinds ?? []; // (A day stored by an older build has none.)
  let n = 0;
  for (const k of unlisted(o.placement, all, notes)) {
    if ((k.doc.header.kind.value ?? "teaching") === kinds[n] && n < kinds.length - 1) n++;
  }
  return kinds[n] ?? "teaching";
}

/** The checks of a day that have not been done on this phone. */
export function checksHere(checks: DayCheck[] | undefined, all: Kept[], notes: Notes): DayCheck[] {
  const done = (c: DayCheck): boolean => unlisted(c.placement, all, notes).some((k) => k.doc.header.kind.value === "maintenance");
  return (checks ?? []).filter((c) => !done(c)); // (A day stored by an older build has none.)
}
