// Texts and parts of the pages. All of them are in the document; the script only selects, copies and fills
// them in.

/** Values that can be inserted into a text. */
export type Values = Record<string, string | number>;

interface Word {
  by: string;
  forms: Record<string, string>;
}

let words: Map<string, Word> | undefined;

// Creating these is expensive on an old phone, and they never change, so they are cached.
let plurals: Intl.PluralRules | undefined;
let numbers: Intl.NumberFormat | undefined;

function read(): Map<string, Word> {
  const all = new Map<string, Word>();
  const list = document.getElementById("words") as HTMLTemplateElement | null;
  list?.content.querySelectorAll<HTMLElement>("[data-word]").forEach((e) => {
    const forms: Record<string, string> = {};
    e.querySelectorAll<HTMLElement>("[data-form]").forEach((f) => (forms[f.dataset.form ?? "other"] = f.textContent ?? ""));
    all.set(e.dataset.word ?? "", { by: e.dataset.by ?? "", forms });
  });
  return all;
}

/** The language of the page. */
export const lang = (): string => document.documentElement.lang || "en";

/** The locale for dates: the phone owner's, if it matches the page's language. */
export const dates = (): string => ((navigator.language ?? "").startsWith(lang()) ? navigator.language : lang());

function form(word: Word, values: Values): string {
  const n = values[word.by];
  if (typeof n !== "number") return word.forms.other ?? "";
  const kind = n === 0 && word.forms.zero !== undefined ? "zero" : (plurals ??= new Intl.PluralRules(lang())).select(n);
  return word.forms[kind] ?? word.forms.other ?? "";
}

/** The text of a key. An unknown key is shown as it is, so that the page still says something. */
export function say(key: string, values: Values = {}): string {
  words ??= read();
  const word = words.get(key);
  if (!word) return key;
  return form(word, values).replace(/\{(\w+)\}/g, (all, name: string) => {
    const v = values[name];
    return v === undefined ? all : typeof v === "number" ? (numbers ??= new Intl.NumberFormat(lang())).format(v) : v;
  });
}

/** What fills a part. */
export interface Filling {
  /** Texts by name; a part whose text is missing is emptied. */
  t?: Record<string, string | undefined>;
  /** What is shown at all; a name that is not here depends on its text. */
  if?: Record<string, boolean>;
  href?: Record<string, string>;
  slot?: Record<string, (Node | string)[]>;
  do?: Record<string, (e: HTMLElement) => void>;
}

function each(root: ParentNode, name: string, fn: (e: HTMLElement, value: string) => void): void {
  const key = name.replace(/-(\w)/g, (_, c: string) => c.toUpperCase());
  root.querySelectorAll<HTMLElement>(`[data-${name}]`).forEach((e) => fn(e, e.dataset[key] ?? ""));
}

/** A copy of a part, filled in. */
export function part(id: string, f: Filling = {}): DocumentFragment {
  const template = document.getElementById(id) as HTMLTemplateElement;
  const root = document.importNode(template.content, true);
  each(root, "if", (e, name) => {
    const shown = f.if?.[name] ?? ((f.t?.[name] ?? "") !== "" || (f.slot?.[name]?.length ?? 0) > 0);
    if (!shown) e.parentNode?.removeChild(e);
  });
  each(root, "t", (e, name) => (e.textContent = f.t?.[name] ?? ""));
  each(root, "label", (e, name) => e.setAttribute("aria-label", f.t?.[name] ?? ""));
  each(root, "href", (e, name) => e.setAttribute("href", f.href?.[name] ?? ""));
  each(root, "slot", (e, name) => f.slot?.[name]?.forEach((child) => e.appendChild(typeof child === "string" ? document.createTextNode(child) : child)));
  each(root, "do", (e, name) => {
    const fn = f.do?.[name];
    if (fn) e.addEventListener("click", () => fn(e));
  });
  return root;
}

/** Replaces all children. (replaceChildren is newer than the oldest supported phones.) */
export function fill(e: HTMLElement, children: Node[]): void {
  e.textContent = "";
  children.forEach((child) => e.appendChild(child));
}

let marks: Map<string, Element> | undefined;

function readMarks(): Map<string, Element> {
  const all = new Map<string, Element>();
  const list = document.getElementById("marks") as HTMLTemplateElement;
  list.content.querySelectorAll<HTMLElement>("[data-mark]").forEach((e) => {
    if (e.firstElementChild) all.set(e.dataset.mark + " " + e.dataset.size, e.firstElementChild);
  });
  return all;
}

/** A copy of an answer's mark: "alone", "help-2", "not_yet" … */
export function mark(key: string, size: "20" | "32", name?: string): Node {
  marks ??= readMarks();
  const copy = (marks.get(key + " " + size) ?? document.createElement("span")).cloneNode(true) as Element;
  if (name === "") {
    copy.removeAttribute("role");
    copy.removeAttribute("aria-label");
    copy.setAttribute("aria-hidden", "true");
  } else if (name !== undefined) {
    copy.removeAttribute("aria-hidden");
    copy.setAttribute("role", "img");
    copy.setAttribute("aria-label", name);
  }
  return copy;
}

/** Announces something to screen readers. */
export function announce(text: string): void {
  const said = document.getElementById("said");
  if (said) said.textContent = text;
}

/** A short moment: the time if today, otherwise with the day. */
export function shortTime(at: Date): string {
  const now = new Date();
  const time: Intl.DateTimeFormatOptions = { hour: "2-digit", minute: "2-digit" };
  if (at.toDateString() === now.toDateString()) return at.toLocaleTimeString(dates(), time);
  return at.toLocaleString(dates(), { weekday: "short", day: "numeric", month: "short", ...time });
}

/** A date in words: today, yesterday, or its day and month. */
export function dayText(day: string): string {
  const at = new Date(day + "T12:00:00");
  const ago = Math.round((new Date().setHours(12, 0, 0, 0) - at.getTime()) / 86_400_000);
  if (ago === 0) return say("phone.today");
  if (ago === 1) return say("phone.yesterday");
  return at.toLocaleDateString(dates(), { day: "numeric", month: "long", ...(Math.abs(ago) > 300 ? { year: "numeric" } : {}) });
}

/** Fills "(name)" in the words on a page with the current target; all targets again if there is none. */
export function nameTarget(root: ParentNode, target: string): void {
  root.querySelectorAll<HTMLElement>("[data-name]").forEach((e) => (e.textContent = target || e.dataset.name || "…"));
}
