// Today: first what was begun and is not finished, then what is next on the tread; the others are folded. Below, what
// was done today and by whom.

import { begunCard, openHere } from "./begun";
import type { Alerts, DayCheck, DayFact, DayLearner, DayOffer, PhoneDay } from "./contract";
import { missingTraining, dayOnPhone } from "./day";
import type { LearnerHere } from "./day";
import { doneLines, doneToday, offersOf } from "./done";
import type { KeptWithKit } from "./done";
import type { Keep, Kept, Notes } from "./keep";
import { stair } from "./stair";
import { liftedText, stoppedCard } from "./stopped";
import { addNote } from "./talks";
import { dates, dayText, shortTime, part, say } from "./words";

const FOLDED = 3; // programs below the next one; the others are on the page of all programs

/** How many programs a learner has, paused and finished ones included. */
function programCount(l: DayLearner): number {
  const all = [...(l.next ? [l.next] : []), ...l.others, ...l.resting, ...(l.paused ?? []), ...(l.finished ?? [])];
  return new Set(all.map((p) => p.assignment)).size;
}

/** What Today needs from the shell. */
export interface TodayDeeds {
  refresh(): void;
  redraw(): void;
  send(): void;
}

/** How up to date the page is. */
export interface Freshness {
  offlineReady: boolean;
  secure: boolean;
}

/** The learner's alerts in words; empty if there are none. */
export function alertText(a: Alerts): string {
  const lines: [string, string][] = [["today.allergy", a.allergy], ["today.choking", a.choking], ["today.seizure", a.seizure], ["today.mouthing", a.mouthing]];
  return lines.filter(([, text]) => text !== "").map(([key, text]) => say(key, { text: text.replace(/[. ]+$/, "") }) + ".").join(" ");
}

function detail(o: DayOffer): string {
  const parts = [o.role];
  if (o.trials > 0) parts.push(say("today.tries", { n: o.trials }));
  if (o.minutes > 0) parts.push(say("today.minutes", { n: o.minutes }));
  return parts.filter((p) => p !== "").join(", ");
}

const localDay = (): string => new Date().toDateString();

function dateText(day: string): string {
  return new Date(day + "T12:00:00").toLocaleDateString(dates(), { weekday: "short", day: "numeric", month: "long" });
}

/** The card of what is next. first: the training state to reach first; empty: it may be started. */
export function nextCard(o: DayOffer, first: string, changed: boolean, notToday: () => void): DocumentFragment {
  return part("t-next", {
    t: { title: o.title, detail: detail(o), first: first === "" ? "" : say("start." + first), lifted: liftedText(o) },
    if: { changed, may: first === "", read: first === "read", how: first !== "read" },
    href: { record: "/record/" + o.placement, teach: "/teach/" + o.placement, progress: "/progress/" + o.placement },
    slot: { stair: o.steps.length > 0 ? [stair(o.steps, o.here, say("today.steps", { here: o.here + 1, n: o.steps.length }))] : [] },
    do: { "not-today": notToday },
  });
}

/** A fact from the records: what it is about, and what two days say. */
export function factPart(f: DayFact, name: string): DocumentFragment {
  const was = dayText(f.was_on), now = dayText(f.now_on);
  if (f.kind === "learned") return part("t-fact", { t: { what: say("today.fact_learned", { name }), was: say("today.fact_step", { day: was, step: f.was_step }), now: say("today.fact_step", { day: now, step: f.now_step }) } });
  return part("t-fact", { t: { what: f.now_step, was: say("today.fact_was", { day: was, n: f.was_n, of: f.was_of }), now: say("today.fact_now", { day: now, n: f.now_n, of: f.now_of }) } });
}

/** The line of a check that is due. */
function checkLine(c: DayCheck): DocumentFragment {
  const tries = c.trials > 0 ? say("today.tries", { n: c.trials }) : "";
  return part("t-check", { t: { title: c.title, text: say("today.check_text", { step: c.step, day: dayText(c.learned) }), tries }, href: { record: "/record/" + c.placement } });
}

/** What this phone has of its sessions, with their kits. */
interface Here {
  open: Kept[];
  closed: KeptWithKit[];
}

async function readHere(keep: Keep, all: Kept[]): Promise<Here> {
  const closed: KeptWithKit[] = [];
  for (const kept of all) if (kept.doc?.closing) closed.push({ kept, kit: (await keep.kit(kept.placement))?.kit });
  return { open: openHere(all), closed };
}

class TodayPage {
  constructor(
    private readonly keep: Keep,
    private readonly day: PhoneDay,
    private readonly notes: Notes,
    private readonly deeds: TodayDeeds,
    private readonly here: Here,
    private readonly begun: Map<string, DocumentFragment>,
  ) {}

  /** Whether a session of this phone is one with this learner. */
  of(l: LearnerHere, k: Kept): boolean {
    return offersOf(l).some((o) => o.placement === k.placement);
  }

  next(o: DayOffer, elsewhere: boolean): DocumentFragment {
    const f = nextCard(o, missingTraining(o, this.notes), this.notes.changed.includes(o.placement), () => void this.notToday(o));
    if (elsewhere) f.querySelectorAll("a.big").forEach((a) => a.classList.add("line"));
    return f;
  }

  private async notToday(o: DayOffer): Promise<void> {
    await this.keep.note((n) => {
      const day = localDay();
      const before = n.notToday.day === day ? n.notToday.assignments : [];
      return { ...n, notToday: { day, assignments: [...before, o.assignment] } };
    });
    this.deeds.redraw();
  }

  resting(o: DayOffer): DocumentFragment {
    return stoppedCard(o, this.notes, this.day.name, async (line) => {
      await addNote(this.keep, "talks", o.assignment, line);
      this.deeds.redraw();
      this.deeds.send();
    });
  }

  /** What others have begun today, or this person on another phone. */
  private elsewhere(l: LearnerHere): string[] {
    const mine = new Set([...this.here.open, ...this.here.closed.map((c) => c.kept)].map((k) => k.id));
    return (l.begun ?? [])
      .filter((s) => !mine.has(s.id) && new Date(s.began).toDateString() === localDay())
      .map((s) => say("today.elsewhere", { who: s.by_name, program: s.title, when: shortTime(new Date(s.began)) }));
  }

  learner(l: LearnerHere, first: boolean): DocumentFragment {
    const signs = l.stop_signs.replace(/\.$/, "");
    const alerts = alertText(l.alerts);
    const elsewhere = this.elsewhere(l);
    // While a session is open here, continuing it is the only solid next step.
    const next = l.next && this.here.open.length === 0 ? l.next : null;
    const others = [...(l.next && !next ? [l.next] : []), ...l.others];
    const checks = l.checks;
    const told = [...offersOf(l)].filter((o) => o.note !== "").sort((a, b) => (a.note_on < b.note_on ? 1 : -1))[0];
    const f = part("t-learner", {
      t: {
        name: l.nickname,
        date: first ? dateText(this.day.today) : "",
        i_am: first && this.day.name !== "" ? say("today.i_am", { name: this.day.name }) : "",
        signs: signs === "" ? "" : say("today.stop", { signs }),
        alerts: alerts === "" ? "" : " " + alerts,
        nothing: say("today.nothing", { name: l.nickname }),
        others: say("today.others", { name: l.nickname }),
        note: told ? "“" + told.note + "”" : "",
        note_by: told ? [told.note_by, told.title].filter((t) => t !== "").join(", ") : "",
        count: String(programCount(l)),
        elsewhere: elsewhere.join(" "),
      },
      if: {
        nothing: !l.next && others.length === 0 && l.resting.length === 0 && checks.length === 0,
        put_off: l.putOff, others: others.length > 0, note: told !== undefined, signs: signs !== "" || alerts !== "",
      },
      slot: {
        begun: this.here.open.filter((k) => this.of(l, k)).map((k) => this.begun.get(k.id)!),
        fact: l.fact ? [factPart(l.fact, l.nickname)] : [],
        next: next ? [this.next(next, elsewhere.length > 0)] : [],
        checks: checks.map(checkLine),
        others: others.slice(0, FOLDED).map((o) => part("t-other", { t: { title: o.title, detail: detail(o), lifted: liftedText(o) }, href: { teach: "/teach/" + o.placement } })),
        resting: l.resting.map((o) => this.resting(o)),
        done: doneLines(doneToday(l, this.here.closed, localDay(), this.day.today)),
      },
    });
    if (!first) {
      // One top-level heading per page: other learners' headings are one level lower.
      lower(f, ".nx h2", "h3");
      lower(f, "h1", "h2");
      while (f.querySelector("h2.subh")) lower(f, "h2.subh", "h3");
    }
    return f;
  }
}

/** Replaces the heading at a selector with one of another level and the same text. */
function lower(within: ParentNode, selector: string, level: "h2" | "h3"): void {
  const before = within.querySelector(selector);
  const after = document.createElement(level);
  after.className = before?.className ?? "";
  after.textContent = before?.textContent ?? "";
  before?.replaceWith(after);
}

/** Today, as it applies on this phone. */
export async function todayPage(keep: Keep, day: PhoneDay, deeds: TodayDeeds, fresh: Freshness): Promise<DocumentFragment> {
  const notes = await keep.notes();
  const all = await keep.all();
  const learners = dayOnPhone(day, all, notes, localDay());
  const here = await readHere(keep, all);
  const cards = await Promise.all(here.open.map((k, i) => begunCard(keep, k, i === 0, () => over())));
  const page = new TodayPage(keep, day, notes, deeds, here, new Map(here.open.map((k, i) => [k.id, cards[i]!])));
  // The learner of the open session comes first. One whose step has ended since belongs to no learner's day.
  learners.sort((a, b) => Number(here.open.some((k) => page.of(b, k))) - Number(here.open.some((k) => page.of(a, k))));
  const begun = cards.filter((_, i) => !learners.some((l) => page.of(l, here.open[i]!)));
  const over = (): void => {
    deeds.redraw();
    deeds.send();
  };
  const read = async (): Promise<void> => {
    await keep.note((n) => ({ ...n, untaken: [], spared: 0 }));
    deeds.redraw();
  };
  const untaken = notes.untaken.map((at) => say("phone.talk_untaken", { when: shortTime(new Date(at)) }));
  const spared = notes.spared > 0 ? [say("phone.spared", { n: notes.spared })] : [];
  const lost = day.lost.filter((id) => !notes.told.includes(id));
  const told = async (): Promise<void> => {
    await keep.note((n) => ({ ...n, told: [...n.told, ...lost] }));
    deeds.redraw();
    deeds.refresh();
  };
  return part("t-today", {
    t: { fresh: say("phone.from", { when: shortTime(new Date(day.as_of)) }), lost: say("phone.gone", { n: lost.length }), news: [...untaken, ...spared].join(" "), messages: day.messages ? say("phone.messages", { n: day.messages }) : "", agreed: day.agreed ? say("phone.agreed", { n: day.agreed }) : "" },
    // (A day stored by an older build has no counts.)
    if: { notice: false, waits: day.messages > 0 || day.agreed > 0, review: (day.review ?? "") !== "", asked: (day.questions ?? 0) > 0, empty: learners.length === 0, lost: lost.length > 0, unkept: !keep.durable, unsecure: !fresh.secure, offline_ready: fresh.offlineReady },
    href: { review: "/reviews/" + (day.review ?? "") },
    slot: { begun, learners: learners.map((l, i) => page.learner(l, i === 0)) },
    do: { told: () => void told(), read: () => void read(), refresh: () => deeds.refresh() },
  });
}
