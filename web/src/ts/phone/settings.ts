// The page about this phone: what is still to be sent, which thumb taps, the PIN, the rescue file, signing out.

import type { Kept, Keep } from "./keep";
import { countBlocking, canSealNow, post } from "./lock";
import { persisted } from "./install";
import { notePhone } from "./phonedb";
import type { Phone } from "./phonedb";
import { download, rescueFile, sendFile } from "./rescue";
import { unsentIDs } from "./send";
import { bar } from "./teach";
import { announce, shortTime, part, say } from "./words";

/** What the page needs from the shell. */
export interface PhoneDeeds {
  send(): void;
  redraw(): void;
  lock(forGood: boolean): Promise<void>;
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

function wireSettings(box: HTMLElement, phone: Phone): void {
  const check = (name: string, value: string): void => box.querySelectorAll<HTMLInputElement>(`input[name="${name}"]`).forEach((i) => (i.checked = i.value === value));
  check("hand", phone.hand ?? "end");
  box.addEventListener("change", () => {
    const chosen = box.querySelector<HTMLInputElement>('input[name="hand"]:checked');
    void notePhone({ hand: chosen?.value === "start" ? "start" : "end" });
  });
}

function wirePIN(form: HTMLFormElement, deeds: PhoneDeeds): void {
  const out = form.querySelector<HTMLElement>("[data-pin-said]")!;
  const set = async (): Promise<string> => {
    const said = new FormData(form);
    const body: Record<string, string> = { pin: String(said.get("pin") ?? "") };
    const current = String(said.get("current") ?? "");
    if (current !== "") body.current = current;
    try {
      const response = await post("/phone/pin", body);
      if (response.ok) form.reset();
      return response.ok ? say("phone.pin_set") : say("phone.pin_bad");
    } catch {
      return say("phone.no_signal");
    }
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void set().then((text) => {
      out.hidden = false;
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

/** The page about this phone. */
export async function phonePage(keep: Keep, phone: Phone, deeds: PhoneDeeds): Promise<DocumentFragment> {
  const n = (await unsentIDs(keep)).length;
  const day = await keep.day();
  const troubles = (await keep.all()).filter((k) => k.trouble !== undefined);
  const f = part("t-phone", {
    t: { unsent: n === 0 ? say("phone.leave_none") : say("phone.leave_unsent", { n }) },
    if: { unsent: n > 0, cannot_seal: (await countBlocking(keep)) > 0, pin_set: day?.pin_set ?? false, unpersisted: !(await persisted()) },
    slot: { bar: [bar(say("phone.this_phone"))], troubles: troubles.map((k) => trouble(keep, k, deeds)) },
    do: { send: () => deeds.send(), rescue: () => void save(keep), lock: () => void deeds.lock(false) },
  });
  wireSettings(f.querySelector<HTMLElement>("[data-settings]")!, phone);
  wirePIN(f.querySelector<HTMLFormElement>("[data-pin]")!, deeds);
  wireRescue(f.querySelector<HTMLFormElement>("[data-rescue-in]")!);
  return f;
}

/** Signing out, and what it means for sessions not sent yet. */
export async function leavePage(keep: Keep, deeds: PhoneDeeds): Promise<DocumentFragment> {
  const n = (await unsentIDs(keep)).length;
  const seals = await canSealNow(keep);
  const pin = (await keep.day())?.pin_set ?? false;
  return part("t-leave", {
    t: { unsent: n === 0 ? say("phone.leave_none") : say("phone.leave_unsent", { n }) },
    if: { sealing: n > 0 && seals, cannot_seal: n > 0 && !seals, no_pin: !pin, pin, some: n > 0, may: n === 0 || seals },
    slot: { bar: [bar(say("phone.title.leave"))] },
    do: { send: () => deeds.send(), leave: () => void deeds.lock(false), forget: () => void deeds.lock(true) },
  });
}
