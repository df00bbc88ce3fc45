// The page about this phone: what is still to be sent, which thumb taps, the PIN, the rescue file, signing out.

import { announce, bar, canSealNow, countBlocking, notePhone, part, persisted, post, say, setSignals, shortTime, unsentIDs, unsentLetters } from "../face/base";
import type { Kept, Keep, Letter } from "../keep";
import type { Phone } from "../phonedb";
import { download, rescueFile, sendFile } from "./rescue";
import { hasVault, makeVault } from "./vault";

/** What the page needs from the shell. */
export interface PhoneDeeds {
  send(): void;
  redraw(): void;
  lock(forGood: boolean): Promise<void>;
  /** Goes to the page about signing out. */
  leave(): void;
}

async function save(keep: Keep, only?: string): Promise<void> {
  try {
    download(await rescueFile(keep, only), say("phone.rescue_name", { day: new Date().toISOString().slice(0, 10) }));
  } catch {
    announce(say("phone.sealed_none"));
  }
}

function troubleText(k: Kept): string {
  return k.trouble === "unreadable" || !k.doc ? say("phone.unreadable") : say("phone.poison", { when: shortTime(new Date(k.doc.started_at)) });
}

function trouble(keep: Keep, k: Kept, deeds: PhoneDeeds): DocumentFragment {
  const retry = async (): Promise<void> => {
    const { trouble: _, ...again } = k;
    await keep.put(again);
    deeds.send();
    deeds.redraw();
  };
  const discard = async (): Promise<void> => {
    await keep.remove(k.id);
    await keep.note((n) => ({ ...n, told: [...n.told, k.id] }));
    deeds.redraw();
  };
  const f: DocumentFragment = part("t-trouble", {
    t: { text: troubleText(k) },
    do: { retry: () => void retry(), save: () => void save(keep, k.id), discard: (e) => (e.closest(".resting")!.querySelector<HTMLElement>("[data-sure]")!.hidden = false), "discard-sure": () => void discard() },
  });
  return f;
}

/** A letter that the server does not accept. It can be changed on the page where it was written. */
function letterTrouble(keep: Keep, l: Letter, deeds: PhoneDeeds): DocumentFragment {
  return part("t-trouble", {
    t: { text: say("phone.letter_poison", { when: shortTime(new Date(l.at)), text: l.text }) },
    do: {
      retry: () => void keep.noteLetter(l.id, {}).then(() => (deeds.send(), deeds.redraw())),
      save: () => void save(keep, l.id),
      discard: (e) => (e.closest(".resting")!.querySelector<HTMLElement>("[data-sure]")!.hidden = false),
      "discard-sure": () => void keep.removeLetter(l.id).then(() => deeds.redraw()),
    },
  });
}

/** How much is not confirmed, in words. */
function unsentText(sessions: number, letters: number): string {
  if (sessions + letters === 0) return say("phone.leave_none");
  const parts: string[] = [];
  if (sessions > 0) parts.push(say("phone.leave_unsent", { n: sessions }));
  if (letters > 0) parts.push(say("phone.leave_letters", { n: letters }));
  return parts.join(" ");
}

function wireSettings(box: HTMLElement, phone: Phone): void {
  const check = (name: string, value: string): void => box.querySelectorAll<HTMLInputElement>(`input[name="${name}"]`).forEach((i) => (i.checked = i.value === value));
  check("hand", phone.hand ?? "end");
  const ticked = (name: string): HTMLInputElement => box.querySelector<HTMLInputElement>(`input[name="${name}"]`)!;
  ticked("vibrate").checked = phone.vibrate !== false;
  ticked("sound").checked = phone.sound === true;
  box.addEventListener("change", () => {
    const chosen = box.querySelector<HTMLInputElement>('input[name="hand"]:checked');
    const signals = { vibrate: ticked("vibrate").checked, sound: ticked("sound").checked };
    setSignals(signals);
    void notePhone({ hand: chosen?.value === "start" ? "start" : "end", ...signals });
  });
}

/** Whether the person has a PIN. A day that was under way when it was set does not know. */
async function hasPIN(keep: Keep): Promise<boolean> {
  return (await keep.day())?.pin_set === true || (await hasVault(keep.account));
}

/** The initials that the lock shows for a name, as the server makes them. */
function initials(name: string): string {
  const first = name.split(/\s+/).map((word) => Array.from(word)[0] ?? "").filter((c) => /\p{L}/u.test(c));
  return first.slice(0, 2).join("").toUpperCase();
}

function wirePIN(form: HTMLFormElement, keep: Keep, deeds: PhoneDeeds, after?: () => void): void {
  const out = form.querySelector<HTMLElement>("[data-pin-said]")!;
  const set = async (): Promise<{ text: string; done: boolean }> => {
    const said = new FormData(form);
    const body: Record<string, string> = { pin: String(said.get("pin") ?? "") };
    const current = String(said.get("current") ?? "");
    if (current !== "") body.current = current;
    try {
      const response = await post("/phone/pin", body);
      if (!response.ok) return { text: say("phone.pin_bad"), done: false };
      form.reset();
      await keep.notePIN();
      await makeVault(keep.account, initials((await keep.day())?.name ?? ""), String(said.get("pin") ?? ""));
      after?.();
      return { text: say("phone.pin_set"), done: true };
    } catch {
      return { text: say("phone.no_signal"), done: false };
    }
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void set().then(({ text, done }) => {
      out.hidden = false;
      out.classList.toggle("attention", !done);
      out.textContent = text;
      deeds.send();
    });
  });
}

function wireRescue(form: HTMLFormElement): void {
  const out = form.querySelector<HTMLElement>("[data-rescue-said]")!;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const file = form.querySelector<HTMLInputElement>("input")!.files?.[0];
    if (!file) return;
    void sendFile(file).then((texts) => {
      out.textContent = "";
      (texts ?? [say("phone.no_signal")]).forEach((text) => {
        const li = document.createElement("li");
        li.textContent = text;
        out.appendChild(li);
      });
    });
  });
}

/** The page about this phone: what is still to be sent, and the way to everything else about it. */
export async function phonePage(keep: Keep, deeds: PhoneDeeds): Promise<DocumentFragment> {
  const [sessions, letters] = [(await unsentIDs(keep)).length, (await unsentLetters(keep)).length];
  const troubles = (await keep.all()).filter((k) => k.trouble !== undefined).map((k) => trouble(keep, k, deeds));
  const refused = (await keep.letters()).filter((l) => l.trouble !== undefined && l.storedAt === undefined).map((l) => letterTrouble(keep, l, deeds));
  return part("t-phone", {
    t: { unsent: unsentText(sessions, letters), pin: say((await hasPIN(keep)) ? "phone.pin_has" : "phone.pin_has_not") },
    if: { unsent: sessions + letters > 0, cannot_seal: (await countBlocking(keep)) > 0, unpersisted: !(await persisted()) },
    slot: { bar: [bar(say("phone.this_phone"))], troubles: [...troubles, ...refused] },
    do: { send: () => deeds.send(), rescue: () => void save(keep), lock: () => void hasPIN(keep).then((pin) => (pin ? deeds.lock(false) : deeds.leave())) },
  });
}

/** Which thumb taps. */
export function handPage(phone: Phone): DocumentFragment {
  const f = part("t-hand", { slot: { bar: [phoneBar("phone.title.hand")] } });
  wireSettings(f.querySelector<HTMLElement>("[data-settings]")!, phone);
  return f;
}

/** Setting the PIN. */
export async function pinPage(keep: Keep, deeds: PhoneDeeds): Promise<DocumentFragment> {
  const f = part("t-pin", { if: { pin_set: await hasPIN(keep) }, slot: { bar: [phoneBar("phone.pin")] } });
  wirePIN(f.querySelector<HTMLFormElement>("[data-pin]")!, keep, deeds);
  return f;
}

/** Sending a file that this or another phone has saved. */
export function savedFilePage(): DocumentFragment {
  const f = part("t-saved-file", { slot: { bar: [phoneBar("phone.title.saved_file")] } });
  wireRescue(f.querySelector<HTMLFormElement>("[data-rescue-in]")!);
  return f;
}

/** The head of a page that belongs to the one about this phone: its way back leads there. */
function phoneBar(title: string): DocumentFragment {
  const f = bar(say(title));
  const back = f.querySelector("a")!;
  back.setAttribute("href", "/today#phone");
  back.textContent = say("phone.back");
  return f;
}

/** Signing out, and what it means for sessions not sent yet. */
export async function leavePage(keep: Keep, deeds: PhoneDeeds): Promise<DocumentFragment> {
  const [sessions, letters] = [(await unsentIDs(keep)).length, (await unsentLetters(keep)).length];
  const n = sessions + letters;
  const seals = await canSealNow(keep);
  const pin = await hasPIN(keep);
  const f = part("t-leave", {
    t: { unsent: unsentText(sessions, letters) },
    if: { sealing: n > 0 && seals, cannot_seal: n > 0 && !seals, no_pin: !pin, pin, some: n > 0, may: n === 0 || seals },
    slot: { bar: [bar(say("phone.title.leave"))] },
    do: { send: () => deeds.send(), leave: () => void deeds.lock(false), forget: () => void deeds.lock(true) },
  });
  const form = f.querySelector<HTMLFormElement>("[data-pin]");
  if (form) wirePIN(form, keep, deeds, () => deeds.redraw()); // then it says that the PIN brings the person back
  return f;
}
