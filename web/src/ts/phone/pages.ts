// The pages that the server renders for a caregiver, on their own phone. A page with signal leaves a copy
// behind; without signal, the copy is shown. What is written on either is kept here first and then sent.

import { release } from "../shared/once";
import { copyOf } from "./later/copies";
import type { Keep, Letter, PageCopy } from "./keep";
import { letterOf, newLetter } from "./letter";
import { sealAccount } from "./lock";
import type { Outbox } from "./outbox";
import { onHandedOver, readPhone } from "./phonedb";
import { fill, part, say, shortTime } from "./words";

const TOKEN = "form_token";

/** Whether this is the document that shows copies. */
export const isOffline = (): boolean => mainPart().hasAttribute("data-offline");

const mainPart = (): HTMLElement => document.getElementById("main")!;

/** Leaves a page that no longer belongs to whoever uses the phone. */
export const leavePage = (): void => location.replace("/today");

export class Pages {
  private copy: PageCopy | undefined;
  private waited = false; // something that this page shows as waiting was not confirmed

  constructor(
    private readonly keep: Keep,
    private readonly outbox: Outbox,
  ) {}

  async start(): Promise<void> {
    if (isOffline()) {
      this.copy = await this.keep.page(location.pathname);
      this.showCopy();
    } else {
      if (mainPart().dataset.account !== this.keep.account) return; // rendered for someone else
      const copy = copyOf(document, this.keep.account);
      if (copy) void this.save(copy);
    }
    onHandedOver(() => void this.checkOwner());
    document.addEventListener("submit", (event) => this.submitted(event));
    this.outbox.onStored = () => void this.sent();
    await this.showLetters();
  }

  private async save(copy: PageCopy): Promise<void> {
    try {
      const known = await this.keep.page(location.pathname);
      await this.keep.putPage(location.pathname, { ...copy, mark: known?.mark ?? "" });
    } catch {
      // nothing can be stored: the page works as it is
    }
  }

  private showCopy(): void {
    const { copy } = this;
    const content = document.createElement("div");
    content.innerHTML = copy?.html ?? "";
    const forms = Array.from(content.querySelectorAll("form"));
    const without = forms.filter((form) => letterOf(actionOf(form)) === undefined); // these need the server at once
    without.forEach((form) => form.remove());
    content.querySelectorAll<HTMLInputElement>('input[type="date"]').forEach((day) => (day.value = localDay()));
    const since = copy ? say("phone.copy_from", { when: shortTime(new Date(copy.at)) }) : "";
    const head = part("t-copy", {
      if: { missing: !copy, shown: copy !== undefined, writes: forms.length > without.length, needs: without.length > 0 },
      t: { since },
      do: { again: () => location.reload() },
    });
    const bar = content.querySelector("nav.bar");
    fill(mainPart(), [...(bar ? [bar] : []), head, ...Array.from(content.childNodes)]);
    if (copy) document.title = copy.title;
  }

  /** Checks whether the phone was locked or handed to someone else; then nothing may stay on the screen. */
  private async checkOwner(): Promise<boolean> {
    const phone = await readPhone();
    if (!phone.locked && phone.current === this.keep.account) return true;
    mainPart().textContent = "";
    leavePage();
    return false;
  }

  private submitted(event: SubmitEvent): void {
    const form = event.target as HTMLFormElement;
    const about = letterOf(actionOf(form));
    if (!about || event.defaultPrevented || !(isOffline() || this.keep.durable)) return;
    event.preventDefault();
    void this.write(form, about).finally(() => release(form));
  }

  private async write(form: HTMLFormElement, about: NonNullable<ReturnType<typeof letterOf>>): Promise<void> {
    const missing = missingIn(form);
    if (missing) {
      if (!isOffline() && navigator.onLine) return form.submit(); // the server says what is missing, beside each field
      this.told(form, say("outbox.missing", { field: missing.name }));
      return missing.field.focus();
    }
    if (!(await this.checkOwner())) return;
    const letter = newLetter(this.keep.account, about, fieldsOf(form), location.pathname);
    try {
      await this.keep.putLetter(letter);
    } catch {
      if (!isOffline()) return form.submit();
      return this.told(form, say("outbox.letter_unkept"));
    }
    const before = form.dataset.replaces;
    if (before) await this.keep.removeLetter(before);
    delete form.dataset.replaces;
    if (!(await this.checkOwner())) return sealAccount(this.keep.account); // it was locked in between
    form.reset();
    this.told(form, "");
    await this.showLetters();
    this.outbox.now();
  }

  /** Something was sent: shows the page with it, unless more is being written. */
  private async sent(): Promise<void> {
    const { waited } = this;
    await this.showLetters();
    if (waited && !this.waited && !isOffline() && !typing()) location.assign(location.pathname);
  }

  private told(form: HTMLFormElement, text: string): void {
    const line = form.querySelector<HTMLElement>("[data-told]") ?? document.createElement("p");
    line.dataset.told = "";
    line.className = "attention";
    line.setAttribute("role", "alert");
    line.textContent = text;
    line.hidden = text === "";
    form.prepend(line);
  }

  /** Shows what was written on this page and is not on it yet. */
  private async showLetters(): Promise<void> {
    const since = isOffline() ? (this.copy?.at ?? 0) : Infinity;
    const all = (await this.keep.letters()).filter((l) => l.path === location.pathname && (l.storedAt ?? Infinity) >= since);
    const list = document.getElementById("letters-here") ?? placeForLetters();
    list.hidden = all.length === 0;
    this.waited = all.some((l) => l.storedAt === undefined);
    fill(list, all.map((l) => this.line(l)));
  }

  private line(l: Letter): Node {
    const trouble = l.trouble !== undefined && l.storedAt === undefined;
    const form = trouble ? formOf(l) : undefined;
    return part("t-letter", {
      t: { text: l.text, state: stateOf(l), trouble: trouble ? troubleText(l) : "" },
      if: { waits: !trouble, trouble, edit: form !== undefined },
      do: {
        retry: () => void this.retry(l),
        edit: () => form && this.edit(form, l),
        discard: (e) => (e.closest("li")!.querySelector<HTMLElement>("[data-sure]")!.hidden = false),
        "discard-sure": () => void this.keep.removeLetter(l.id).then(() => this.changed()),
      },
    });
  }

  private async changed(): Promise<void> {
    await this.showLetters();
    await this.outbox.show();
  }

  private async retry(l: Letter): Promise<void> {
    await this.keep.noteLetter(l.id, {});
    await this.changed();
    this.outbox.now();
  }

  /** Puts a refused letter back into its form. It stays here until what replaces it is stored. */
  private edit(form: HTMLFormElement, l: Letter): void {
    const { fields } = JSON.parse(l.body) as { fields: Record<string, string> };
    for (const field of Array.from(form.elements) as HTMLInputElement[]) {
      const value = fields[field.name];
      if (value === undefined || field.type === "hidden") continue;
      if (field.type === "radio") field.checked = field.value === value;
      else field.value = value;
    }
    form.dataset.replaces = l.id;
    form.querySelector<HTMLElement>("textarea")?.focus();
  }
}

const actionOf = (form: HTMLFormElement): string => new URL(form.getAttribute("action") ?? "", location.href).pathname;

const formOf = (l: Letter): HTMLFormElement | undefined => {
  const { kind, of } = JSON.parse(l.body) as { kind: string; of: string };
  return Array.from(document.querySelectorAll("form")).find((f) => {
    const about = letterOf(actionOf(f));
    return about?.kind === kind && about.of === of;
  });
};

/** What waits, as texts: the token of the form is not sent, because the letter has an id of its own. */
function fieldsOf(form: HTMLFormElement): Record<string, string> {
  const out: Record<string, string> = {};
  new FormData(form).forEach((value, name) => {
    if (name !== TOKEN && typeof value === "string") out[name] = value;
  });
  return out;
}

/** The first field that must be filled in and is not. */
function missingIn(form: HTMLFormElement): { name: string; field: HTMLElement } | undefined {
  const said = new FormData(form);
  for (const field of Array.from(form.elements) as HTMLInputElement[]) {
    const needed = field.type === "radio" || field.getAttribute("aria-required") === "true";
    if (!needed || String(said.get(field.name) ?? "").trim() !== "") continue;
    const label = field.type === "radio" ? field.closest("fieldset")?.querySelector("legend") : form.querySelector(`label[for="${field.id}"]`);
    return { name: (label?.textContent ?? field.name).trim(), field };
  }
  return undefined;
}

const typing = (): boolean => Array.from(document.querySelectorAll("textarea")).some((t) => t.value !== t.defaultValue);

function stateOf(l: Letter): string {
  const when = shortTime(new Date(l.at));
  return say(l.storedAt === undefined ? "outbox.letter_waits" : "outbox.letter_stored", { when });
}

function troubleText(l: Letter): string {
  const why = l.trouble ?? "";
  if (why === "409") return say("outbox.letter_answered");
  return /^\d*$/.test(why) ? say("outbox.letter_refused") : say("outbox.letter_wrong", { why });
}

function placeForLetters(): HTMLElement {
  const list = document.createElement("ul");
  list.id = "letters-here";
  list.className = "waiting";
  list.setAttribute("aria-live", "polite");
  const head = mainPart().querySelector("h1");
  if (head) head.after(list);
  else mainPart().append(list);
  return list;
}

function localDay(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}
