// A locked phone: who may come back, and how many sessions are not sent. Nothing about a child.

import type { PhoneAccounts } from "./contract";
import { addSealing, othersText, post, sealedPending, reportLock } from "./lock";
import { notePhone } from "./phonedb";
import { part, say } from "./words";

/** The people on this phone; undefined without signal. */
export async function accounts(): Promise<PhoneAccounts["accounts"] | undefined> {
  try {
    const response = await fetch("/phone/accounts", { credentials: "same-origin", cache: "no-store", redirect: "error" });
    return response.ok ? ((await response.json()) as PhoneAccounts).accounts : undefined;
  } catch {
    return undefined;
  }
}

interface Refused {
  error?: string;
  tries_left?: number;
  wait_s?: number;
}

/** The text for a refused PIN. */
export function refusedText(r: Refused): string {
  const parts: string[] = [];
  if (r.error === "renew" || r.error === "no_pin") return say("phone.refused");
  if (r.tries_left !== undefined) parts.push(say("phone.pin_wrong", { n: r.tries_left }));
  if (r.wait_s) parts.push(say("phone.pin_wait", { n: r.wait_s }));
  return parts.join(" ") || say("phone.pin_bad");
}

/**
 * Lets one of them in. Returns why not, or undefined if it worked. before: who has used the phone until then without
 * locking it; their data is to be sealed.
 */
export async function unlock(account: string, pin: string, before?: string): Promise<string | undefined> {
  try {
    await reportLock(); // otherwise its response could arrive later and lock again
    const response = await post("/phone/switch", { account, pin });
    if (!response.ok) return refusedText((await response.json()) as Refused);
    await notePhone((now) => ({ locked: false, current: account, ...(before === undefined ? {} : addSealing(before)(now)) }));
    return undefined;
  } catch {
    return say("phone.no_signal");
  }
}

/** Offers the people to choose from. */
export function chips(f: ParentNode, may: PhoneAccounts["accounts"]): void {
  const row = f.querySelector<HTMLElement>("[data-slot=accounts]")!;
  may.forEach((a, i) => {
    const chip = part("t-chip", { t: { label: a.initials || say("phone.person", { n: i + 1 }) } });
    const input = chip.querySelector("input")!;
    input.name = "account";
    input.value = a.account;
    input.checked = i === 0;
    row.appendChild(chip);
  });
}

/**
 * The page of a locked phone: shown at once, whatever the connection. opened: someone has unlocked. again:
 * check whether someone is signed in by now. blocking: how many sessions of the previous person prevent
 * others from using the phone.
 */
export async function lockPage(opened: () => void, again: () => void, blocking = 0): Promise<DocumentFragment> {
  const others = othersText(await sealedPending());
  const f = part("t-lock", {
    t: { others, blocking: say("phone.held_here", { n: blocking }) },
    if: { others: others !== "", blocking: blocking > 0, locked: blocking === 0 },
    do: { again },
  });
  const out = f.querySelector<HTMLElement>("[data-lock-said]")!;
  const form = f.querySelector<HTMLFormElement>("[data-unlock]")!;
  void accounts().then((known) => {
    const may = (known ?? []).filter((a) => a.pin_set);
    chips(form, may);
    form.hidden = may.length === 0;
    if (!known) out.textContent = say("phone.no_signal");
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const said = new FormData(form);
    void unlock(String(said.get("account") ?? ""), String(said.get("pin") ?? "")).then((wrong) => {
      if (wrong === undefined) opened();
      else out.textContent = wrong;
    });
  });
  return f;
}
