// Copies of the pages that the server renders for a caregiver, to open without signal: progress, messages,
// questions, agreed things, incidents. They are kept in the account's own database and leave with it. Pages of
// staff are never copied.

import { isStored } from "../face/base";
import type { DayOffer, PhoneDay } from "../contract";
import type { Keep, PageCopy } from "../keep";

const FRESH = 3_600_000; // ms after which a copy is fetched again though the day says nothing new about it

/** A page as the server rendered it, if it was rendered for this account. */
export function copyOf(page: Document, account: string, mark = ""): PageCopy | undefined {
  const main = page.querySelector<HTMLElement>("main[data-copy]");
  if (!main || main.dataset.account !== account) return undefined;
  return { title: page.title, html: main.innerHTML, at: Date.now(), mark };
}

const offersOf = (day: PhoneDay): DayOffer[] => day.learners.reduce<DayOffer[]>((all, l) => [...all, ...(l.next ? [l.next] : []), ...l.others, ...l.resting], []);

/** The pages to copy, each with what the day says about it. */
async function wanted(keep: Keep, day: PhoneDay): Promise<[path: string, mark: string][]> {
  const stored = (await keep.all()).filter((k) => k.doc?.closing && isStored(k));
  const recorded = (placement: string): number => stored.filter((k) => k.placement === placement).length;
  return [
    ["/messages", String(day.messages)],
    ["/questions", String(day.questions)],
    ["/agreed", String(day.agreed)],
    ["/incidents", ""],
    ...offersOf(day).map((o): [string, string] => ["/progress/" + o.placement, JSON.stringify([recorded(o.placement), o])]),
  ];
}

let fetching = false;

/** Fetches the pages that are missing or stale, one after the other, and forgets those that are no longer offered. */
export async function fetchCopies(keep: Keep, day: PhoneDay): Promise<void> {
  if (day.learners.length === 0 || !keep.durable || fetching) return;
  fetching = true;
  try {
    const pages = await wanted(keep, day);
    await keep.keepPages(pages.map(([path]) => path));
    for (const [path, mark] of pages) {
      const known = await keep.page(path);
      if (known?.mark === mark && Math.abs(Date.now() - known.at) < FRESH) continue;
      const copy = await fetched(path, keep.account, mark);
      if (!copy) return; // no signal, or someone else is signed in: the next day tries again
      await keep.putPage(path, copy);
    }
  } catch {
    // The account has left, or nothing can be stored.
  } finally {
    fetching = false;
  }
}

async function fetched(path: string, account: string, mark: string): Promise<PageCopy | undefined> {
  const response = await fetch(path, { headers: { Accept: "text/html" }, credentials: "same-origin", cache: "no-store", redirect: "error" });
  if (!response.ok) return undefined;
  return copyOf(new DOMParser().parseFromString(await response.text(), "text/html"), account, mark);
}
