// The sessions that were begun on this phone and are still open, whichever program they belong to.

import type { Kit } from "./contract";
import { inEffect, withField } from "./document";
import { toKept } from "./keep";
import type { Keep, Kept } from "./keep";
import { finishAsItIs, isOpen } from "./open";
import { RECORDING_LOCK, withTabLock } from "./tablock";
import { part, say, shortTime } from "./words";

/** The open sessions of this phone, newest first. */
export const openHere = (all: Kept[]): Kept[] => all.filter(isOpen).reverse();

/** Closes a session as a shorter one: what is recorded is kept, and the adult ended it. */
async function setAside(keep: Keep, k: Kept): Promise<void> {
  const short = toKept(withField(k.doc, "ended_early", "other"));
  if (await keep.change(k, () => short)) await finishAsItIs(keep, short);
}

/** The address that continues a session. */
export const continueHref = (k: Kept): string => "/record/" + k.placement + "?open=" + k.id;

function text(k: Kept, kit: Kit | undefined): string {
  const when = shortTime(new Date(k.doc.started_at));
  const who = kit?.people.find((p) => p.id === k.doc.header.by.value)?.name ?? "";
  const began = who === "" ? say("today.began", { when }) : say("today.began_by", { when, who });
  const n = inEffect(k.doc).length;
  return n === 0 ? began : began + " " + say("today.began_tries", { n });
}

/**
 * The card of an open session. first: it is the page's first next step. over: called when it is no longer open. busy:
 * another tab of this phone is recording.
 */
export async function begunCard(keep: Keep, k: Kept, first: boolean, over: () => void): Promise<DocumentFragment> {
  const kit = (await keep.kit(k.placement))?.kit;
  const end = async (e: HTMLElement, how: (keep: Keep, k: Kept) => Promise<void>): Promise<void> => {
    const done = await withTabLock(RECORDING_LOCK, async () => {
      await how(keep, (await keep.get(k.id)) ?? k);
      return true;
    });
    if (done) return over();
    const busy = e.closest(".begun")?.querySelector<HTMLElement>("[data-busy]");
    if (busy) busy.hidden = false;
  };
  const f: DocumentFragment = part("t-begun", {
    t: { title: say("today.go_on", { program: kit?.program ?? "" }), text: text(k, kit) },
    href: { go: continueHref(k) },
    do: { "as-it-is": (e) => void end(e, finishAsItIs), aside: (e) => void end(e, setAside) },
  });
  if (!first) f.querySelector(".big")?.classList.add("line");
  return f;
}
