// The editor's keyboard control: Enter for the next step, Escape for the list, arrows within it. The page
// explains this under its list. Without this file Enter works too, and there are buttons for everything.

import { press } from "./draftlist";

const ROW = "newel-draft-row"; // the row to continue from when the next page has loaded
const AHEAD = "newel-draft-ahead"; // what was typed while the page was loading

const LEAVING = 10_000; // ms after which to stop waiting for a page

const list = (): HTMLElement | null => document.getElementById("steplist");
const pane = (): HTMLElement | null => document.getElementById("pane");
const stops = (): HTMLButtonElement[] => [...(list()?.querySelectorAll<HTMLButtonElement>("button") ?? [])];
const fields = (): HTMLElement[] =>
  [...(pane()?.querySelectorAll<HTMLElement>("input:not([type=hidden]), textarea, select") ?? [])].filter((e) => e.getClientRects().length > 0);

const isText = (e: EventTarget | null): e is HTMLInputElement | HTMLTextAreaElement =>
  e instanceof HTMLTextAreaElement || (e instanceof HTMLInputElement && e.type === "text");

function remember(name: string, what: string): void {
  try {
    sessionStorage.setItem(name, what);
  } catch {
    // The focus is then at the start of the page.
  }
}

function recall(name: string): string {
  try {
    const what = sessionStorage.getItem(name) ?? "";
    sessionStorage.removeItem(name);
    return what;
  } catch {
    return "";
  }
}

class Keys {
  private readonly touched = new WeakSet<EventTarget>();
  private last: HTMLElement | null = null; // the last text field used in the pane
  private left = 0; // when a button was pressed that leads to another page

  constructor(
    private readonly form: HTMLFormElement,
    private readonly save: () => void,
  ) {}

  start(): void {
    this.arrive();
    roving();
    document.addEventListener("keydown", (e) => this.onKey(e));
    this.form.addEventListener("input", (e) => e.target && this.touched.add(e.target));
    this.form.addEventListener("submit", (e) => (this.left = e.defaultPrevented ? 0 : Date.now()));
    window.addEventListener("pageshow", () => (this.left = 0));
    this.form.addEventListener("focusin", (e) => {
      if (e.target instanceof HTMLElement && pane()?.contains(e.target)) this.last = e.target;
      else roving();
    });
    // A step opened from the keyboard starts at its first field, one that was clicked at the top.
    list()?.addEventListener("click", (e) => {
      const to = (e.target instanceof Element && e.target.closest("button")?.value) || "";
      if (!to.startsWith("go") || e.detail !== 0) return;
      e.preventDefault();
      press(this.form, to + ":write");
    });
  }

  /** Puts the focus where editing continues, and inserts what was typed while loading. */
  private arrive(): void {
    const ahead = recall(AHEAD);
    const row = document.querySelector<HTMLElement>(`li[data-step="${CSS.escape(recall(ROW))}"] button`);
    const named = window.location.hash.startsWith("#f-") ? document.getElementById(window.location.hash.slice(1)) : null;
    // (Firefox scrolls to the element in the address but does not focus it.)
    const to = row ?? named ?? (window.location.hash === "#pane" ? pane() : null);
    if (pane()?.querySelector(".problems")) return;
    to?.focus();
    if (to && to === named && to instanceof HTMLInputElement && isText(to)) to.select(); // as the Tab key does
    if (to && ahead !== "" && isText(to)) {
      to.setRangeText(ahead, to.selectionStart ?? 0, to.selectionEnd ?? 0, "end");
      to.dispatchEvent(new Event("input", { bubbles: true }));
    }
    const here = list()?.querySelector<HTMLElement>("[aria-current]");
    const box = list();
    if (here && box) box.scrollTop += here.getBoundingClientRect().top - box.getBoundingClientRect().top - box.clientHeight / 2;
  }

  private onKey(e: KeyboardEvent): void {
    if (e.isComposing) return;
    if (Date.now() - this.left < LEAVING) {
      if (e.key.length === 1 && !e.ctrlKey && !e.metaKey && !e.altKey) remember(AHEAD, recall(AHEAD) + e.key);
      if (!e.ctrlKey && !e.metaKey) e.preventDefault(); // it would go into a page that is being left
      return;
    }
    if (this.does(e)) e.preventDefault();
  }

  private does(e: KeyboardEvent): boolean {
    const at = e.target instanceof HTMLElement ? e.target : document.body;
    if (e.ctrlKey || e.metaKey) return !e.altKey && this.command(e, at);
    if (e.altKey) return (e.key === "ArrowUp" || e.key === "ArrowDown") && this.move(e.key === "ArrowUp" ? "up" : "down", at);
    if (e.shiftKey) return false;
    if (e.key === "Escape") return (at === document.body || this.form.contains(at)) && this.across(at);
    if (e.key === "Enter") return at instanceof HTMLInputElement && at.type !== "file" && this.form.contains(at) && this.on(at);
    return list()?.contains(at) === true && along(e.key, at);
  }

  private command(e: KeyboardEvent, at: HTMLElement): boolean {
    switch (e.key.toLowerCase()) {
      case "s":
        this.save();
        return true;
      case "enter":
        return this.add(at);
      case "z":
        return this.back(e.shiftKey ? "redo" : "undo", at);
      case "y":
        return this.back("redo", at);
    }
    return false;
  }

  /** Undo and redo, unless the focused text field can undo its own typing. */
  private back(what: string, at: HTMLElement): boolean {
    const wanted = this.form.querySelector<HTMLButtonElement>(`button[value="${what}"]`);
    if (!wanted || (isText(at) && this.touched.has(at))) return false;
    wanted.click();
    return true;
  }

  /** The open step, or that of the focused row. */
  private step(at: HTMLElement): { key: string; strand: string; row: boolean } | null {
    const row = at.closest<HTMLElement>("li[data-step]");
    const key = row?.dataset["step"] ?? new URLSearchParams(this.form.dataset["pane"] ?? "").get("step") ?? "";
    const li = row ?? document.querySelector<HTMLElement>(`li[data-step="${CSS.escape(key)}"]`);
    const strand = li?.closest<HTMLElement>("ol[data-strand]")?.dataset["strand"];
    return key !== "" && strand ? { key, strand, row: row !== null } : null;
  }

  /** Adds a step below; from the fields of the program or a role, as its first one. */
  private add(at: HTMLElement): boolean {
    const step = this.step(at);
    if (step) {
      press(this.form, `add:${step.strand}:${step.key}`);
      return true;
    }
    const role = new URLSearchParams(this.form.dataset["pane"] ?? "").get("role");
    const ol = document.querySelector<HTMLElement>(role ? `ol[data-strand="${CSS.escape(role)}"]` : "ol[data-strand]");
    const first = ol?.querySelector<HTMLElement>("li[data-step]")?.dataset["step"];
    if (!first) return false;
    press(this.form, `go:${first}:write`);
    return true;
  }

  private move(to: string, at: HTMLElement): boolean {
    const step = this.step(at);
    if (!step || (at.matches("input, textarea, select") && !step.row)) return false;
    if (step.row) remember(ROW, step.key);
    press(this.form, `${to}:${step.key}${step.row ? ":list" : ""}`);
    return true;
  }

  /** Handles Enter in a single-line field. */
  private on(at: HTMLInputElement): boolean {
    const query = new URLSearchParams(this.form.dataset["pane"] ?? "");
    if (at.name === "copy_as") {
      press(this.form, `copy-role:${query.get("role") ?? ""}`);
    } else if (query.has("step") && !at.name.startsWith("crit-") && at.type !== "checkbox") {
      press(this.form, `next:${query.get("step") ?? ""}:${at.name.split(".").pop() ?? ""}`);
    } else {
      const all = fields();
      all[all.indexOf(at) + 1]?.focus();
    }
    return true;
  }

  /** Moves from the pane to the list, and back to the previous field. */
  private across(at: HTMLElement): boolean {
    if (list()?.contains(at)) (this.last?.isConnected ? this.last : (fields()[0] ?? pane()))?.focus();
    else (list()?.querySelector<HTMLElement>("[aria-current]") ?? stops()[0])?.focus();
    return true;
  }
}

/** Makes one row per role a stop of the Tab key: the open or focused one. */
export function roving(): void {
  list()
    ?.querySelectorAll("ol")
    .forEach((ol) => {
      const rows = [...ol.querySelectorAll<HTMLButtonElement>("button")];
      const stop = rows.find((r) => r === document.activeElement) ?? rows.find((r) => r.hasAttribute("aria-current")) ?? rows[0];
      rows.forEach((r) => (r.tabIndex = r === stop ? 0 : -1));
    });
}

function along(key: string, at: HTMLElement): boolean {
  const all = stops();
  const from = all.findIndex((b) => b === at);
  const to = { ArrowDown: from + 1, ArrowUp: from - 1, Home: 0, End: all.length - 1 }[key];
  if (to === undefined || from < 0) return false;
  all[to]?.focus();
  return true;
}

/** Enables the editor's keys. save sends what was typed immediately. */
export function workKeys(form: HTMLFormElement, save: () => void): void {
  new Keys(form, save).start();
}

/** The page that adds a series of steps: the first choice has the focus, and Ctrl+Enter shows the series. */
export function workLadder(): void {
  const form = document.querySelector<HTMLFormElement>("form.ladder");
  if (!form) return;
  if (!form.querySelector("[autofocus], .problems")) {
    (form.querySelector<HTMLElement>("input[type=radio]:checked") ?? form.querySelector<HTMLElement>("input[type=radio]"))?.focus();
  }
  form.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" || !(e.ctrlKey || e.metaKey)) return;
    e.preventDefault();
    form.querySelector<HTMLButtonElement>("button[type=submit]:not([formmethod])")?.click();
  });
}
