// An open page follows changes: it is notified that something has changed and reloads its own main part. It
// shows nothing that a reload would not show; without this file people reload by hand.

const WATCHING = "Newel-Watching";
const LINE = "live-line";
const COME_BACK_MS = 3000;
const FULL_MS = 60_000;

/** The content of a page, without what differs on every load. */
function gist(main: Element): string {
  const copy = main.cloneNode(true) as Element;
  copy.querySelectorAll('input[type="hidden"]').forEach((field) => field.remove());
  copy.querySelectorAll("details").forEach((d) => d.removeAttribute("open"));
  return copy.innerHTML;
}

function changed(field: Element): boolean {
  if (field instanceof HTMLInputElement) {
    return field.type !== "hidden" && (field.value !== field.defaultValue || field.checked !== field.defaultChecked);
  }
  if (field instanceof HTMLTextAreaElement) return field.value !== field.defaultValue;
  if (field instanceof HTMLSelectElement) {
    const first = Array.from(field.options).findIndex((option) => option.defaultSelected);
    return field.selectedIndex !== Math.max(first, 0);
  }
  return false;
}

/** Whether something is typed, selected or being sent that a new page would lose. */
function touched(main: Element): boolean {
  return main.querySelector("form[data-sent]") !== null || Array.from(main.querySelectorAll("input, textarea, select")).some(changed);
}

/**
 * How to find an element again after the page was replaced: by its id, its text, or its index among its kind.
 */
function trail(main: Element, element: Element | null): (fresh: Element) => HTMLElement | null {
  if (element === null || element === main || !main.contains(element)) return () => null;
  const { id, tagName, textContent } = element;
  if (id !== "") return (fresh) => fresh.querySelector<HTMLElement>(`[id="${CSS.escape(id)}"]`);
  const place = Array.from(main.querySelectorAll(tagName)).indexOf(element);
  return (fresh) => {
    const all = Array.from(fresh.querySelectorAll<HTMLElement>(tagName));
    const same = all.filter((e) => e.textContent === textContent);
    return (same.length === 1 ? same[0] : all[place]) ?? null;
  };
}

function replace(main: HTMLElement, fresh: HTMLElement): void {
  const focus = trail(main, document.activeElement);
  const open = Array.from(main.querySelectorAll("details[open] > summary")).map((summary) => trail(main, summary));
  const scrolled = Array.from(main.querySelectorAll(".scroll")).map((frame) => frame.scrollLeft);
  main.replaceChildren(...Array.from(fresh.childNodes));
  for (const find of open) find(main)?.closest("details")?.setAttribute("open", "");
  main.querySelectorAll(".scroll").forEach((frame, i) => {
    frame.scrollLeft = scrolled[i] ?? 0;
  });
  focus(main)?.focus({ preventScroll: true });
}

/** Which page the leader has turned to, on pages that follow one. */
const leaf = (main: Element): string => main.querySelector<HTMLElement>("[data-leaf]")?.dataset["leaf"] ?? "";

class Follower {
  private source: EventSource | null = null;
  private heard = false; // a connection was open before: changes since then were missed
  private loading = false;
  private again = false;
  private over = false; // no one is signed in any more

  constructor(
    private readonly main: HTMLElement,
    private readonly path: string,
  ) {}

  /** Listens while the page is visible, and catches up when it becomes visible again. */
  attend(): void {
    if (document.visibilityState === "hidden" || this.over) {
      this.source?.close();
      this.source = null;
      return;
    }
    if (this.source !== null) return;
    const source = new EventSource(this.path);
    this.source = source;
    source.addEventListener("open", () => {
      if (this.heard) void this.refresh();
      this.heard = true;
    });
    source.addEventListener("changed", () => void this.refresh());
    source.addEventListener("gone", () => this.end());
    source.addEventListener("full", () => this.later(source, FULL_MS)); // too many pages are open: this one polls instead
    source.addEventListener("error", () => {
      // The browser reconnects by itself after a lost connection, and gives up if the server refuses.
      if (source.readyState === EventSource.CLOSED) this.later(source, COME_BACK_MS);
    });
  }

  /** Closes a connection, and after a while reloads the page and listens again. */
  private later(source: EventSource, ms: number): void {
    source.close();
    if (this.source !== source) return;
    this.source = null;
    setTimeout(() => void this.refresh().then(() => this.attend()), ms);
  }

  private end(): void {
    this.over = true;
    this.attend();
  }

  private async refresh(): Promise<void> {
    this.again = true;
    if (this.loading) return;
    this.loading = true;
    while (this.again) {
      this.again = false;
      await this.load();
    }
    this.loading = false;
  }

  private async load(): Promise<void> {
    const here = location.pathname + location.search;
    let answer: Response;
    let text: string;
    try {
      answer = await fetch(here, { headers: { [WATCHING]: "1", Accept: "text/html" }, cache: "no-store" });
      text = await answer.text();
    } catch {
      return; // briefly offline: reconnecting leads back here
    }
    if (answer.redirected || answer.status === 401) {
      this.end();
      return;
    }
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(text, "text/html");
    const fresh = page.querySelector<HTMLElement>("main#main");
    if (fresh === null || gist(fresh) === gist(this.main)) return;
    if (touched(this.main)) {
      this.offer(here);
      return;
    }
    document.title = page.title;
    const before = leaf(this.main);
    replace(this.main, fresh);
    if (before === leaf(this.main)) return;
    this.main.focus({ preventScroll: true }); // read from its beginning
    window.scrollTo(0, 0);
  }

  /** Something is typed: the page stays as it is and says that there is something new. */
  private offer(here: string): void {
    if (document.getElementById(LINE) !== null) return;
    const line = document.createElement("p");
    line.id = LINE;
    line.className = "notice warn";
    line.setAttribute("role", "status");
    const link = document.createElement("a");
    link.href = here;
    link.textContent = this.main.dataset["liveWords"] ?? "";
    line.append(link);
    this.main.before(line);
  }
}

/** Follows changes, if the page names an address for them. */
export function followPage(): void {
  const main = document.querySelector<HTMLElement>("main[data-live]");
  const path = main?.dataset["live"];
  if (main === null || path === undefined || typeof EventSource === "undefined") return;
  const follower = new Follower(main, path);
  document.addEventListener("visibilitychange", () => follower.attend());
  follower.attend();
}
