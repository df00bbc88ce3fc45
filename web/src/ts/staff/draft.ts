// The editor of a draft: saves while the author types, keeps what the server has not acknowledged, and shows
// where two people edited the same field. Without this file every button saves.

import { workCriterion } from "./draftcrit";
import { DraftKeep, type Kept } from "./draftkeep";
import { roving, workKeys } from "./draftkeys";
import { type Control, inLines, put, tidy } from "./draftlines";
import { workList } from "./draftlist";
import { newID } from "../shared/id";
import { release } from "../shared/once";

interface Answer {
  rev: number;
  saved: string;
  token: string;
  fields: Record<string, string>;
  problems: Record<string, string>;
  looks: Record<string, string>;
  conflicts: Record<string, string>;
  others: string[] | null;
  list: string;
  history: string;
}

/** Begins the name of the hidden field with each checkbox: an unticked box is not sent, the field says that it was there. */
const BOX = "box.";
const PAUSE = 900; // ms after the last key
const AGAIN = 5000; // ms until a failed request is retried
const LEAVING = 10_000; // ms after a button press until this page resumes sending, if no other page loaded
const OWN = new Set(["form_token", "rev", "do", "pane", "strand", "confirmed", "copy_as"]);

class Editor {
  private readonly keep: DraftKeep;
  private readonly stored = new Map<string, string>();
  /**
   * The revision of a field's stored text, if it is older than the page's, to detect what someone else wrote
   * in it since.
   */
  private readonly since = new Map<string, string>();
  private readonly conflicts = new Set<string>();
  private shownList = "";
  private cut = false; // the last request did not arrive
  private timer = 0;
  private sending = false;
  private again = false;
  private submitted = 0; // when a button was pressed
  private last: Answer | null = null;

  constructor(private readonly form: HTMLFormElement) {
    this.keep = new DraftKeep(new URL(form.action).pathname, form.dataset["who"] ?? "");
    // A page that came back with refused input has texts that are not stored.
    const refused = form.querySelector(".pane > .problems") !== null;
    for (const [name, value] of this.values()) if (!refused) this.stored.set(name, value);
    form.querySelectorAll<HTMLElement>(".theirs").forEach((e) => {
      const name = e.closest<HTMLElement>("[data-field]")?.dataset["field"];
      if (name) this.conflicts.add(name);
    });
  }

  start(): void {
    document.documentElement.classList.add("scripted");
    void this.offer();
    this.form.addEventListener("input", (e) => {
      if (e.target instanceof Element && named(e.target)) this.typed();
    });
    this.form.addEventListener("change", () => void this.send());
    this.form.addEventListener("focusout", () => this.last && this.say(this.last));
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && void this.send(true));
    window.addEventListener("pagehide", () => void this.send(true));
    window.addEventListener("online", () => void this.send());
    // What a button sends is kept as well, until a page shows it as stored. The button itself sends
    // everything, so no other request needs to be in flight.
    this.form.addEventListener("submit", (e) => {
      this.keepDirty();
      if (this.cut) {
        e.preventDefault();
        void this.press(e.submitter);
        return;
      }
      this.hidden("rev").value = this.oldest(this.differing());
      this.submitted = Date.now();
    });
    window.addEventListener("pageshow", () => (this.submitted = 0));
    this.keep.drop(this.stored);
  }

  /** Handles typing: keeps it at once and sends it after a pause. */
  typed(): void {
    this.keepDirty();
    this.show("saving");
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.send(), PAUSE);
  }

  private values(): Map<string, string> {
    const all = new Map<string, string>();
    new FormData(this.form).forEach((value, name) => {
      if (typeof value !== "string" || OWN.has(name) || name.startsWith("crit-")) return;
      if (!name.startsWith(BOX)) all.set(name, value);
      else if (!all.has(name.slice(BOX.length))) all.set(name.slice(BOX.length), "");
    });
    return all;
  }

  private differing(): Map<string, string> {
    return new Map([...this.values()].filter(([name, value]) => this.stored.get(name) !== value));
  }

  private dirty(): Map<string, string> {
    return new Map([...this.differing()].filter(([name]) => !this.conflicts.has(name)));
  }

  private revOf(name: string): string {
    return this.since.get(name) ?? this.hidden("rev").value;
  }

  /** The oldest revision that one of the fields was based on. */
  private oldest(fields: ReadonlyMap<string, string>): string {
    return [...fields.keys()].map((name) => this.revOf(name)).reduce((a, b) => (Number(b) < Number(a) ? b : a), this.hidden("rev").value);
  }

  private hidden(name: string): HTMLInputElement {
    return this.form.querySelector<HTMLInputElement>(`input[type=hidden][name="${name}"]`) as HTMLInputElement;
  }

  private keepDirty(): void {
    const kept: Record<string, Kept> = {};
    for (const [name, value] of this.values()) {
      if (this.stored.get(name) !== value) kept[name] = { value, rev: this.revOf(name) };
    }
    this.keep.put(kept);
  }

  /** Sends what is not stored yet. */
  async send(leaving = false): Promise<void> {
    window.clearTimeout(this.timer);
    const fields = this.dirty();
    if (fields.size === 0 || Date.now() - this.submitted < LEAVING) return;
    if (this.sending && !leaving) {
      this.again = true;
      return;
    }
    this.sending = true;
    const rev = this.oldest(fields);
    for (const name of fields.keys()) if (this.revOf(name) !== rev) fields.delete(name); // they are next
    const answer = await this.post(fields, rev, leaving);
    this.sending = false;
    this.cut = !answer;
    if (!answer) {
      this.show("offline");
      this.timer = window.setTimeout(() => void this.send(), AGAIN);
      return;
    }
    this.accept(fields, answer);
    if (this.again || this.dirty().size > 0) {
      this.again = false;
      this.timer = window.setTimeout(() => void this.send(), leaving ? 0 : PAUSE);
    }
  }

  /**
   * Handles a button press without a connection: the page stays, and the press takes effect once there is one
   * again.
   */
  private async press(button: HTMLElement | null): Promise<void> {
    const answer = await this.post(new Map(), this.hidden("rev").value, false);
    release(this.form);
    this.cut = !answer;
    if (answer) button?.click();
    else this.show("offline");
  }

  private async post(fields: ReadonlyMap<string, string>, rev: string, leaving: boolean, pane = this.form.dataset["pane"] ?? ""): Promise<Answer | null> {
    const body = new URLSearchParams({ form_token: newID(Date.now()), rev, do: "save", pane });
    fields.forEach((value, name) => body.set(name, value));
    try {
      const response = await fetch(this.form.action, {
        method: "POST",
        headers: { Accept: "application/json" },
        body,
        keepalive: leaving && body.toString().length < 60_000,
      });
      if (!response.ok || !(response.headers.get("content-type") ?? "").startsWith("application/json")) return null;
      return (await response.json()) as Answer;
    } catch {
      return null;
    }
  }

  private accept(sent: ReadonlyMap<string, string>, a: Answer): void {
    const done = new Map<string, string>();
    const before = this.hidden("rev").value;
    sent.forEach((value, name) => {
      if (name in a.conflicts) return;
      this.stored.set(name, value);
      this.since.delete(name);
      done.set(name, value);
    });
    this.keep.drop(done);
    this.hidden("rev").value = String(a.rev);
    for (const name of this.differing().keys()) if (!done.has(name) && !this.since.has(name)) this.since.set(name, before);
    for (const [name, theirs] of Object.entries(a.conflicts)) this.differs(name, theirs, String(a.rev));
    this.takeOver(a, sent);
    this.last = a;
    this.say(a);
    this.show("saved", a.saved);
    const list = document.getElementById("steplist");
    if (list && a.list !== this.shownList && !list.contains(document.activeElement)) {
      list.innerHTML = a.list;
      this.shownList = a.list;
      roving();
    }
    const history = document.getElementById("drafthistory");
    if (history && !history.contains(document.activeElement)) history.outerHTML = a.history;
  }

  /**
   * Shows what others have stored: as it is in fields that are not being edited here, otherwise line by line.
   */
  private takeOver(a: Answer, sent: ReadonlyMap<string, string>): void {
    for (const [name, value] of Object.entries(a.fields)) {
      const control = this.control(name);
      if (!control || this.conflicts.has(name)) continue;
      const others = a.others?.includes(name) ?? false;
      if (!others && (sent.has(name) || control === document.activeElement)) continue; // differs only in form
      const stored = this.stored.get(name) ?? "";
      const now = this.values().get(name) ?? "";
      if (tidy(stored) === tidy(value)) continue;
      if (now === stored) put(control, value);
      else if (sent.has(name)) put(control, inLines(stored, now, value));
      else continue; // typed since and not sent yet: compared when it is
      this.stored.set(name, value);
      this.since.delete(name);
    }
  }

  private control(name: string): Control | null {
    return this.form.querySelector<Control>(`[name="${CSS.escape(name)}"]:not([type=hidden])`);
  }

  /** Shows problems and suggestions beside their fields, but not while the author is typing in one. */
  private say(a: Answer): void {
    this.form.querySelectorAll<HTMLElement>("[data-field]").forEach((at) => {
      const name = at.dataset["field"] ?? "";
      if (at.contains(document.activeElement) || !(name in a.fields)) return;
      const problem = a.problems[name] ?? "";
      const field = at.querySelector(".field");
      field?.classList.toggle("wrong", problem !== "");
      line(field, "error", problem, this.control(name));
      line(at.querySelector("[data-beside]"), "look", problem === "" ? (a.looks[name] ?? "") : "", null);
    });
  }

  private show(state: "saving" | "offline" | "saved", text?: string): void {
    const at = this.form.querySelector<HTMLElement>("[data-saved]");
    const bar = at?.parentElement;
    if (!at || !bar) return;
    bar.dataset["state"] = state === "offline" ? "waiting" : state;
    const words = text ?? this.form.dataset[state] ?? "";
    if (at.textContent !== words) at.textContent = words;
  }

  /** Two people edited one field: shows both texts until someone chooses. */
  private differs(name: string, theirs: string, rev: string): void {
    const at = this.form.querySelector<HTMLElement>(`[data-field="${CSS.escape(name)}"] [data-beside]`);
    const control = this.control(name);
    if (!at || !control || this.conflicts.has(name)) return;
    this.conflicts.add(name);
    const box = document.createElement("div");
    box.className = "theirs";
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = this.form.dataset["theirs"] ?? "";
    const quote = document.createElement("blockquote");
    quote.textContent = theirs;
    const settle = (take: boolean): void => {
      this.conflicts.delete(name);
      this.since.set(name, rev); // the author has seen this revision when choosing
      box.remove();
      if (take) {
        control.value = theirs;
        this.stored.set(name, theirs);
        this.keep.drop(new Map(Object.entries(this.keep.read()).map(([n, k]) => [n, n === name ? k.value : "\u0000"])));
      }
      this.typed();
      control.focus();
    };
    box.append(words, quote, button(this.form.dataset["take"] ?? "", () => settle(true)), button(this.form.dataset["keep"] ?? "", () => settle(false)));
    at.append(box);
  }

  /** Offers what was typed earlier and never stored. Asks about text that belongs in a different pane. */
  private async offer(): Promise<void> {
    const all = Object.entries(this.keep.read());
    if (all.length === 0 || this.form.querySelector(".pane > .problems")) return;
    const now = this.values();
    for (const pane of new Set(all.filter(([name]) => !now.has(name)).map(([name]) => paneOf(name)))) {
      const answer = await this.post(new Map(), this.hidden("rev").value, false, pane);
      for (const [name, value] of Object.entries(answer?.fields ?? {})) if (!now.has(name)) now.set(name, value);
    }
    const kept = all.filter(([name, k]) => loose(now.get(name) ?? "\u0000") !== loose(k.value));
    this.keep.drop(new Map(all.filter((one) => !kept.includes(one)).map(([name, k]) => [name, k.value])));
    if (kept.length === 0) return;
    const box = document.createElement("div");
    box.className = "kept";
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = this.form.dataset["unsent"] ?? "";
    const quote = document.createElement("blockquote");
    quote.textContent = kept.map(([, k]) => k.value).join("\n");
    const buttons = document.createElement("p");
    buttons.className = "buttons";
    buttons.append(
      button(this.form.dataset["putBack"] ?? "", () => void this.putBack(kept, box)),
      button(this.form.dataset["throw"] ?? "", () => {
        this.keep.clear();
        box.remove();
      }),
    );
    box.append(words, quote, buttons);
    document.getElementById("pane")?.prepend(box);
  }

  private async putBack(kept: [string, Kept][], box: HTMLElement): Promise<void> {
    for (const rev of new Set(kept.map(([, k]) => k.rev))) {
      const fields = new Map(kept.filter(([, k]) => k.rev === rev).map(([name, k]) => [name, k.value]));
      const answer = await this.post(fields, rev, false);
      if (!answer) {
        this.show("offline");
        return;
      }
      for (const [name, value] of fields) {
        const control = this.control(name);
        if (control && !(control instanceof HTMLInputElement && control.type === "checkbox")) control.value = value;
      }
      this.accept(fields, answer);
    }
    box.remove();
  }
}

/** A text for comparison, regardless of how a list in it is formatted. */
const loose = (text: string): string => tidy(text).replace(/\s+/g, "").toLowerCase();

/** The pane of a field. */
function paneOf(name: string): string {
  const [kind, key] = name.split(".");
  return kind === "steps" ? `?step=${key ?? ""}` : kind === "strands" ? `?role=${key ?? ""}` : "";
}

const named = (e: Element): boolean => {
  const name = e.getAttribute("name") ?? "";
  return name !== "" && !OWN.has(name) && !name.startsWith("crit-");
};

function button(words: string, does: () => void): HTMLButtonElement {
  const b = document.createElement("button");
  b.type = "button";
  b.className = "btn";
  b.textContent = words;
  b.addEventListener("click", does);
  return b;
}

/** Adds, changes or removes a line of the given kind. */
function line(at: Element | null, kind: string, text: string, control: Control | null): void {
  if (!at) return;
  let p = at.querySelector<HTMLElement>(`:scope > .${kind}`);
  const id = control ? `${control.id}-${kind}` : "";
  if (text === "") {
    p?.remove();
    if (id !== "" && control?.getAttribute("aria-describedby")) {
      control.setAttribute("aria-describedby", (control.getAttribute("aria-describedby") ?? "").replace(id, "").trim());
      control.removeAttribute("aria-invalid");
    }
    return;
  }
  if (!p) {
    p = document.createElement("p");
    p.className = kind;
    if (control) {
      p.id = id;
      at.insertBefore(p, control);
      control.setAttribute("aria-describedby", `${id} ${control.getAttribute("aria-describedby") ?? ""}`.trim());
      control.setAttribute("aria-invalid", "true");
    } else at.prepend(p);
  }
  if (p.textContent?.trim() !== text) p.textContent = text;
}

/** Starts the editor, if the page has one. */
export function editDraft(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-draft]");
  if (!form) return;
  const editor = new Editor(form);
  editor.start();
  workCriterion(form, () => editor.typed());
  workList(form);
  workKeys(form, () => void editor.send());
}
