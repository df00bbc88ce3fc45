// The shell: one document for Today, How to teach, the recorder and the lock. It shows what this phone has
// stored at once and then asks the server for updates.

import { setSignals } from "./buzz";
import { askDay, dayOnPhone, keepDay, kitOf, missingTraining, startable, trainingState } from "./day";
import type { DayResult } from "./day";
import { loadAhead } from "./face/faces";
import { install, offlineReady, persist, takeOver } from "./install";
import { Keep } from "./keep";
import { finishLock, countBlocking, lockPhone, endSealing, sealAccount, reportLock } from "./lock";
import type { PhoneDeeds } from "./later/settings";
import { Outbox } from "./outbox";
import { notePhone, onHandedOver, readPhone, sealingOf } from "./phonedb";
import type { Phone } from "./phonedb";
import { fetchPictures, Pictures } from "./pictures";
import type { Recorder } from "./recorder";
import { addNote } from "./talks";
import { bar } from "./bar";
import { todayPage } from "./today";
import { part, say } from "./words";

const PAGES = /^\/(today|leave|teach|record)(?:\/([0-9a-f-]+))?$/;
const LATER = ["#phone", "#hand", "#pin", "#saved-file", "#who", "#programs"]; // pages whose scripts are loaded when they are opened
const FRESH = 60_000; // ms within which returning to the page does not ask again

export class Shell {
  private phone: Phone = {};
  private keep: Keep | undefined;
  private outbox: Outbox | undefined;
  private recorder: Recorder | undefined;
  private pictures: Pictures | undefined;
  private asked = 0;
  private touched = false; // something is typed or selected on the current page
  private pressed: Promise<void> | undefined; // a finger is down; resolves after its click was handled
  private drawn = 0;
  private era = 0; // of the current account; work started in an earlier one ends without effect
  private readonly main = document.getElementById("main")!;

  async start(): Promise<void> {
    document.addEventListener("click", (event) => this.click(event));
    this.main.addEventListener("input", () => (this.touched = true));
    this.main.addEventListener("focusin", (event) => (this.touched ||= event.target instanceof HTMLInputElement));
    this.main.addEventListener("pointerdown", () => this.press());
    window.addEventListener("popstate", () => void this.draw());
    window.addEventListener("online", () => void this.refresh());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void this.seen();
    });
    onHandedOver(() => void this.handedOver());
    await finishLock();
    this.phone = await readPhone();
    if (this.phone.locked && !(arriving() && (await this.isReturning()))) await this.showLock();
    else if (this.phone.locked) await this.unlocked();
    else if (this.phone.current && !arriving()) {
      await this.switchTo(this.phone.current);
      await this.draw();
      void this.refresh();
    } else await this.refresh();
    void install(() => this.recorder?.open ?? false);
    void persist();
  }

  /** The page has become visible again. */
  private async seen(): Promise<void> {
    await this.handedOver();
    if (Date.now() - this.asked > FRESH) await this.refresh();
  }

  /** Switches to the pages of this account. */
  private async switchTo(account: string): Promise<void> {
    if (this.keep?.account === account) return;
    this.outbox?.stop();
    this.keep = new Keep(account);
    await this.keep.ready();
    await this.keep.takeBack();
    this.outbox = new Outbox(this.keep);
    this.outbox.onStored = () => void this.refresh();
    this.outbox.start();
  }

  /** Redrawing a page between touch and release would swallow the tap. */
  private press(): void {
    this.pressed ??= new Promise((released) => {
      const over = (): void => {
        for (const end of ["pointerup", "pointercancel"]) window.removeEventListener(end, over);
        setTimeout(() => {
          this.pressed = undefined;
          released();
        });
      };
      for (const end of ["pointerup", "pointercancel"]) window.addEventListener(end, over);
    });
  }

  private go(path: string): void {
    history.pushState(null, "", path);
    // First the page, then its updates: while the recorder is there, nothing may be drawn over it.
    const drawn = this.draw();
    if (location.pathname === "/today") void drawn.then(() => this.refresh());
  }

  /** Links between these pages load nothing. */
  private click(event: MouseEvent): void {
    const a = (event.target as Element | null)?.closest?.("a");
    if (!a || event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return;
    if (a.origin !== location.origin || !PAGES.test(a.pathname) || a.target !== "" || (a.hash === "#main" && a.classList.contains("skip"))) return;
    event.preventDefault();
    this.go(a.pathname + a.search + a.hash);
  }

  // Updates.

  /** Asks for the day and shows it. */
  private async refresh(): Promise<void> {
    if (this.phone.tellLock && !(await reportLock())) return;
    this.asked = Date.now();
    const unknown = this.keep === undefined;
    const era = this.era;
    const asked = await askDay(this.keep);
    this.phone = await readPhone();
    if (this.phone.locked || era !== this.era) return;
    if (asked.kind === "day") await this.applyDay(asked);
    else await this.without(asked.kind);
    // The phone did not know whose it was, so it reported nothing as unsent and compared nothing. Repeat at
    // once, because data that the browser cleared must be reported on first use.
    if (unknown && asked.kind === "day") await this.refresh();
  }

  private async applyDay(asked: DayResult & { kind: "day" }): Promise<void> {
    const { day } = asked;
    const era = this.era;
    const before = this.phone.current ?? "";
    // The server takes this phone for another person's. Only a PIN or an invitation shows their pages.
    if (this.phone.away && day.account !== this.phone.away && !arriving(true)) return this.without("sign_in");
    if (before !== "" && before !== day.account) {
      // Someone else is signed in now: seal the previous person's data before showing anything. If that is
      // not possible, show nothing until it has been sent.
      this.outbox?.stop();
      this.clear();
      const blocking = await countBlocking(await this.keepOf(before));
      if (blocking > 0) return this.showLock(blocking);
      await sealAccount(before);
    }
    if (before !== day.account) this.phone = await notePhone({ current: day.account });
    // A returning person needs what is here, so stop sealing it.
    if (sealingOf(this.phone).includes(day.account)) this.phone = await endSealing(day.account);
    if (era !== this.era) return;
    const fresh = this.keep?.account !== day.account;
    await this.switchTo(day.account);
    if (era !== this.era) return;
    const keep = this.keep!;
    const old = JSON.stringify({ ...(await keep.day()), as_of: "" });
    await keepDay(keep, day, asked.asked, asked.tag);
    if (era !== this.era) return;
    if (this.phone.away) this.phone = await notePhone({ away: "" });
    this.outbox!.pinDue = false;
    this.outbox!.refused = false;
    // Do not replace a page that is in use.
    const page = this.page();
    if ((this.recorder || this.touched) && !fresh) return;
    if (fresh || page.name === "today" || old !== JSON.stringify({ ...day, as_of: "" })) await this.draw(!fresh);
    void fetchPictures(keep).then(async () => (await import("./later/copies")).fetchCopies(keep, day)).catch(() => undefined);
    loadAhead(day.kits.map((k) => k.kit));
    for (const ahead of [import("./later/lockpage"), import("./later/teach"), import("./recorder")]) void ahead.catch(() => undefined); // none may wait for a connection
    void takeOver();
  }

  private async keepOf(account: string): Promise<Keep> {
    if (this.keep?.account === account) return this.keep;
    const keep = new Keep(account);
    await keep.ready();
    return keep;
  }

  private async without(kind: "offline" | "portal" | "sign_in" | "refused"): Promise<void> {
    if (this.keep && (await this.keep.day())) {
      // What is stored stays; the outbox says what is unsent, and that access has changed.
      const away = this.phone.away === this.keep.account && kind === "sign_in";
      if (this.outbox) this.outbox.refused = kind === "refused";
      if (this.outbox) this.outbox.pinDue = away;
      await this.outbox?.show();
      if (away) await this.comeBack();
      return;
    }
    if (kind === "sign_in") return location.replace("/sign-in?next=" + encodeURIComponent(location.pathname));
    if (kind === "refused") return location.replace("/");
    if (!this.keep && this.phone.current && !arriving(true)) {
      await this.switchTo(this.phone.current);
      return this.draw();
    }
    this.put(part("t-missing", { t: { text: say(kind === "portal" ? "phone.portal" : "phone.no_signal") }, slot: { bar: [bar(say("phone.title.today"))] } }));
  }

  /** The person unlocked without signal, and the server has to let them in too. */
  private async comeBack(pin?: string): Promise<string | undefined> {
    const account = this.keep?.account;
    if (!account) return undefined;
    try {
      const refused = await (await import("./later/lockpage")).comeBack(account, pin);
      if (refused === undefined) {
        this.main.querySelector("[data-return]")?.remove();
        if (this.outbox) this.outbox.pinDue = false;
        this.outbox?.now();
        await this.refresh();
      } else if (pin === undefined) this.askPIN(refused === "ask" ? "" : refused);
      return refused;
    } catch {
      return say("phone.no_signal");
    }
  }

  private askPIN(said: string): void {
    if (this.recorder || this.main.querySelector("[data-return]")) return;
    const f = part("t-return");
    const form = f.querySelector<HTMLFormElement>("[data-return]")!;
    const out = form.querySelector<HTMLElement>("[data-return-said]")!;
    out.textContent = said;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.comeBack(String(new FormData(form).get("pin") ?? "")).then((refused) => (out.textContent = refused === "ask" ? "" : (refused ?? "")));
    });
    this.main.prepend(f);
  }

  // Pages.

  private page(): { name: string; placement: string } {
    const m = PAGES.exec(location.pathname);
    return { name: m?.[1] ?? "today", placement: m?.[2] ?? "" };
  }

  private clear(): void {
    this.touched = false;
    this.recorder?.dispose();
    this.recorder = undefined;
    this.pictures?.close();
    this.pictures = undefined;
    this.main.textContent = "";
  }

  private put(content: Node): void {
    const moved = this.main.hasChildNodes() && this.main.contains(document.activeElement);
    this.clear();
    this.main.appendChild(content);
    if (moved) this.main.focus();
  }

  /**
   * Draws the page of the address from what this phone has stored. news: it is already shown, and may be in
   * use.
   */
  private async draw(news = false): Promise<void> {
    const turn = ++this.drawn;
    const keep = this.keep;
    if (!keep) return;
    const { name, placement } = this.page();
    this.phone = await readPhone();
    setSignals(this.phone);
    if (this.phone.locked) return this.handedOver();
    const pictures = new Pictures();
    const content = placement === "" ? await this.todayContent(keep, name) : await this.stepContent(keep, name, placement, pictures);
    if (news) await this.pressed;
    // Another page was requested in the meantime, or the person started typing or recording while the update
    // arrived.
    if (turn !== this.drawn || !content || (news && (this.touched || this.recorder?.open))) return pictures.close();
    if (!(content instanceof Node)) {
      this.put(content.root);
      this.recorder = content;
      this.pictures = pictures;
      await content.start();
      if (new URLSearchParams(location.search).has("open")) this.main.querySelector<HTMLElement>("[data-resume]:not([hidden])")?.click();
    } else {
      this.put(content);
      this.pictures = pictures;
      if (name === "teach") void import("./later/teach").then(({ startFaces }) => turn === this.drawn && startFaces(this.main), () => undefined);
    }
    document.title = say("phone.title." + name) + " · Newel";
    void this.outbox?.show();
  }

  private async todayContent(keep: Keep, name: string): Promise<Node | undefined> {
    const deeds = {
      refresh: () => void this.refresh(),
      redraw: () => void this.draw(),
      send: () => this.outbox?.now(),
      lock: (forGood: boolean) => this.lock(forGood),
      leave: () => this.go("/leave"),
    };
    if (name === "leave" || LATER.includes(location.hash)) return this.phoneContent(keep, name, deeds);
    const day = await keep.day();
    return day ? todayPage(keep, day, deeds, { offlineReady: await offlineReady(), secure: window.isSecureContext }) : undefined;
  }

  /** Someone else has entered their PIN: this person's data is sealed, then come their pages. */
  private async switched(): Promise<void> {
    this.releaseAccount();
    history.replaceState(null, "", "/today");
    await finishLock();
    await this.unlocked();
  }

  /** The pages about this phone, and the list of all programs. */
  private async phoneContent(keep: Keep, name: string, deeds: PhoneDeeds): Promise<Node | undefined> {
    try {
      const [settings, who, programs] = await Promise.all([import("./later/settings"), import("./later/who"), import("./later/programs")]);
      if (name === "leave") return await settings.leavePage(keep, deeds);
      const day = await keep.day();
      switch (location.hash) {
        case "#hand":
          return settings.handPage(this.phone);
        case "#pin":
          return await settings.pinPage(keep, deeds);
        case "#saved-file":
          return settings.savedFilePage();
        case "#programs":
          return day && programs.programsPage(dayOnPhone(day, await keep.all(), await keep.notes(), ""));
        case "#who":
          return day && who.whoPage(day, (await countBlocking(keep)) > 0, () => void this.switched());
      }
      return await settings.phonePage(keep, deeds);
    } catch {
      return part("t-missing", { t: { text: say("phone.no_signal") }, slot: { bar: [bar(say("phone.this_phone"))] } });
    }
  }

  private async stepContent(keep: Keep, name: string, placement: string, pictures: Pictures): Promise<Node | Recorder> {
    const known = await keep.kit(placement);
    const kit = known ?? (await kitOf(keep, placement));
    const missing = (key: string): Node => part("t-missing", { t: { text: say(key) }, slot: { bar: [bar(say("phone.title." + name))] } });
    if (kit === "ended") return missing("phone.ended");
    if (!kit) return missing("phone.not_here");
    await pictures.open(keep, kit.kit);
    const { offer, check, rests, kind } = await startable(keep, placement);
    const start = offer ?? check;
    const learners = (await keep.day())?.learners ?? [];
    const paused = learners.some((l) => (l.paused ?? []).some((p) => p.placement === placement));
    // A kit that the server has just served belongs to a step that is taught, whether or not the day has it yet.
    const ended = start === undefined && known !== undefined && !paused && learners.length > 0;
    const notes = await keep.notes();
    const changed = notes.changed.includes(placement);
    const first = missingTraining(start, notes);
    // A session that was started can be continued, whatever training was recorded since.
    const begun = first !== "" && (await keep.all()).some((k) => k.placement === placement && k.doc && !k.doc.closing);
    if (name === "record" && !rests && !paused && (first === "" || begun)) {
      const around = { keep, outbox: this.outbox!, phone: this.phone, pictures, go: (path: string) => this.go(path) };
      const module = await import("./recorder").catch(() => undefined);
      if (!module) return missing("recorder.no_face");
      return new module.Recorder(around, kit, { placement, changed, ended, wanting: start?.start?.wanting ?? [], kind, check: check !== undefined });
    }
    if (name === "record") history.replaceState(null, "", "/teach/" + placement);
    if (changed) await keep.note((n) => ({ ...n, changed: n.changed.filter((p) => p !== placement) }));
    const read = async (): Promise<void> => {
      await addNote(keep, "reads", start!.assignment);
      this.outbox?.now();
      await this.draw();
    };
    const untrained = start?.start !== undefined && trainingState(start, notes) === "";
    const state = { placement, rests, paused, ended, changed, first, say: this.phone.say, whole: new URLSearchParams(location.search).has("more"), read: untrained ? () => void read() : undefined };
    return import("./later/teach").then(
      ({ teachPage }) => teachPage(kit.kit, state, pictures),
      () => missing("phone.no_signal"),
    );
  }

  // The lock.

  private async lock(forGood: boolean): Promise<void> {
    const account = this.keep?.account;
    if (!account) return;
    if ((await countBlocking(this.keep!)) > 0) {
      // Nothing readable may stay behind and nothing may be lost: the page says what to do.
      if (this.page().name !== "leave") this.go("/leave");
      return;
    }
    this.releaseAccount(); // at once, before anything is written
    await lockPhone(account, forGood);
    await this.showLock();
  }

  /** Lets go of the current account. */
  private releaseAccount(): void {
    this.era++;
    this.drawn++; // no page that is still being drawn may cover the next one
    this.outbox?.stop();
    this.keep?.end();
    this.keep = undefined;
    this.clear();
  }

  /** Checks whether another tab has locked the phone or handed it to someone else. */
  private async handedOver(): Promise<void> {
    const era = this.era;
    const phone = await readPhone();
    if (!this.keep || era !== this.era || (!phone.locked && (phone.current ?? this.keep.account) === this.keep.account)) return;
    this.releaseAccount();
    if (phone.locked) await this.showLock();
    else await this.unlocked();
  }

  private async showLock(blocking = 0): Promise<void> {
    history.replaceState(null, "", "/today");
    document.title = say("phone.title.lock") + " · Newel";
    const locked = await import("./later/lockpage").then(
      ({ lockPage }) => lockPage(() => void this.unlocked(), () => void (blocking > 0 ? this.refresh() : this.lookAgain()), blocking),
      () => part("t-missing", { t: { text: say("phone.try_again") }, slot: { bar: [bar(say("phone.title.lock"))] } }),
    );
    this.put(locked);
    void reportLock();
  }

  private async unlocked(): Promise<void> {
    this.phone = await readPhone();
    this.clear();
    const account = this.phone.current;
    if (account) {
      if (sealingOf(this.phone).includes(account)) this.phone = await endSealing(account); // they need what is here
      await this.switchTo(account);
      await this.draw(); // what was unlocked without signal
    }
    await this.refresh();
  }

  /**
   * Whether someone has signed in since the phone was locked, rather than going around the lock. Until the
   * server knows of the lock, the person who locked it can come back only by an invitation.
   */
  private async isReturning(): Promise<boolean> {
    const asked = await askDay(undefined);
    if (asked.kind !== "day") return false;
    if (this.phone.tellLock && asked.day.account === this.phone.current && !arriving(true)) return false;
    await notePhone({ locked: false, tellLock: false, current: asked.day.account });
    return true;
  }

  /** Someone may have come back by an invitation or a password. */
  private async lookAgain(): Promise<void> {
    if (!(await reportLock())) return this.showLock();
    const asked = await askDay(undefined);
    if (asked.kind !== "day") return this.showLock();
    await notePhone({ locked: false, current: asked.day.account });
    await this.unlocked();
  }
}

/**
 * Whether this page was reached from a sign-in or an invitation, so that the server has to say first who it
 * is.
 */
function arriving(strict = false): boolean {
  // After a reload the referrer still names the earlier page, but that is not an arrival.
  if (document.referrer === "" || again()) return false;
  const from = new URL(document.referrer);
  if (from.origin !== location.origin) return false;
  return (strict ? /^\/(?:join|demo)\b/ : /^\/(?:join|demo|sign-in)\b/).test(from.pathname);
}

function again(): boolean {
  const [entry] = performance.getEntriesByType?.("navigation") ?? [];
  if (entry) return (entry as PerformanceNavigationTiming).type !== "navigate";
  return ((performance as unknown as { navigation?: { type: number } }).navigation?.type ?? 0) !== 0; // Safari 14
}
