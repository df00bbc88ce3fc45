// A locked phone: who may come back, and how many sessions are not sent. Nothing about a child.

import { addSealing, Keep, notePhone, othersText, part, post, reportLock, say, sealedPending } from "../face/base";
import type { PhoneAccounts } from "../contract";
import type { Phone } from "../phonedb";
import * as vault from "./vault";
import type { Opening } from "./vault";

/** Who may use this phone, by the server; undefined without signal. */
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

const SWITCH_PATIENCE = 8_000; // ms until the phone looks for itself

/**
 * Asks the server to make an account current. undefined: it did. Fails if there is no answer that counts,
 * which a network's sign-in page is not.
 */
async function askSwitch(account: string, pin: string): Promise<Refused | undefined> {
  const response = await post("/phone/switch", { account, pin }, SWITCH_PATIENCE);
  const said = (await response.json()) as Refused & { account?: string };
  if (response.ok && said.account === account) return undefined;
  if (response.ok || response.status >= 500) throw new Error("no answer");
  return said;
}

let remembered: { account: string; pin: string } | undefined; // until the server has accepted it

/**
 * Tells the server about a person who unlocked without signal. undefined: it let them in. "ask": it needs the
 * PIN. Otherwise why not, in words. Fails without signal.
 */
export async function comeBack(account: string, pin = remembered?.account === account ? remembered.pin : ""): Promise<string | undefined> {
  if (pin === "") return "ask";
  const refused = await askSwitch(account, pin);
  remembered = undefined;
  if (refused) return refusedText(refused);
  await notePhone({ away: "" });
  return undefined;
}

/** Unlocks with signal. Fails without. */
async function unlockThere(account: string, pin: string, before: string | undefined): Promise<string | undefined> {
  await reportLock(); // otherwise its response could arrive later and lock again
  const refused = await askSwitch(account, pin);
  if (refused) {
    if (refused.error === "renew" || refused.error === "no_pin") await vault.dropVault(account); // only an invitation helps
    return refusedText(refused);
  }
  const opening = await opened(account, pin);
  await enter(account, opening, before, () => ({ away: "" }));
  // The PIN is from before this build, or was changed elsewhere.
  if (opening.kind !== "open") void initialsOf(account).then((initials) => vault.makeVault(account, initials, pin));
  return undefined;
}

/** What was sealed for a person whom the server has let in. */
async function opened(account: string, pin: string): Promise<Opening> {
  try {
    return await vault.openVault(account, pin, true);
  } catch {
    return { kind: "none" }; // their pages come from the server
  }
}

/** Unlocks without signal, by what was sealed to the PIN. */
async function unlockHere(account: string, pin: string, before: string | undefined): Promise<string | undefined> {
  const opening = await vault.openVault(account, pin);
  switch (opening.kind) {
    case "open":
      remembered = { account, pin };
      // The server may hold someone else as the current one, who has locked the phone or left it: it has to be told, or it
      // would take this phone for theirs.
      await enter(account, opening, before, (now) => ({ away: account, tellLock: now.current !== account }));
      return undefined;
    case "wrong":
      return refusedText({ tries_left: opening.left, wait_s: Math.ceil(opening.wait / 1000) });
    case "wait":
      return say("phone.pin_wait", { n: Math.ceil(opening.wait / 1000) });
    case "spent":
      return say("phone.pin_spent");
    case "none":
      return say("phone.no_signal");
  }
}

async function enter(account: string, opening: Opening, before: string | undefined, change: (now: Phone) => Partial<Phone>): Promise<void> {
  if (opening.kind === "open") {
    const keep = new Keep(account);
    await keep.ready();
    if (!(await keep.day())) await vault.restore(keep, opening.content);
    keep.close();
  }
  await notePhone((now) => ({ ...change(now), locked: false, current: account, ...(before === undefined ? {} : addSealing(before)(now)) }));
}

async function initialsOf(account: string): Promise<string> {
  return (await accounts())?.find((a) => a.account === account)?.initials ?? "";
}

/**
 * Lets one of them in. Returns why not, or undefined if it worked. before: who has used the phone until then without
 * locking it; their data is to be sealed.
 */
export async function unlock(account: string, pin: string, before?: string): Promise<string | undefined> {
  try {
    return await unlockThere(account, pin, before);
  } catch {
    return unlockHere(account, pin, before).catch(() => say("phone.no_signal"));
  }
}

/** Offers the people to choose from. */
export function chips(f: ParentNode, may: { account: string; initials: string }[]): void {
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
  void accounts().then(async (known) => {
    const may = known ? known.filter((a) => a.pin_set) : await vault.vaults();
    chips(form, may);
    form.hidden = may.length === 0;
    if (!known) out.textContent = say(may.length === 0 ? "phone.no_signal" : "phone.unlock_here");
  });
  let busy = false; // one try at a time
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const said = new FormData(form);
    if (busy) return;
    busy = true;
    out.textContent = say("phone.unlocking"); // deriving the key takes seconds on an old phone
    void unlock(String(said.get("account") ?? ""), String(said.get("pin") ?? "")).then((wrong) => {
      busy = false;
      if (wrong === undefined) opened();
      else out.textContent = wrong;
    });
  });
  return f;
}
