// Today: what is next is on the tread, the others are folded.

import type { Alerts, DayLearner, DayOffer, PhoneDay } from "./contract";
import { missingTraining, dayOnPhone } from "./day";
import type { Keep, Notes } from "./keep";
import { stair } from "./stair";
import { liftedText, stoppedCard } from "./stopped";
import { addNote } from "./talks";
import { dates, shortTime, part, say } from "./words";

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

class TodayPage {
  constructor(
    private readonly keep: Keep,
    private readonly day: PhoneDay,
    private readonly notes: Notes,
    private readonly deeds: TodayDeeds,
  ) {}

  next(o: DayOffer): DocumentFragment {
    return nextCard(o, missingTraining(o, this.notes), this.notes.changed.includes(o.placement), () => void this.notToday(o));
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

  learner(l: DayLearner, first: boolean): DocumentFragment {
    const signs = l.stop_signs.replace(/\.$/, "");
    const alerts = alertText(l.alerts);
    const f = part("t-learner", {
      t: {
        name: l.nickname,
        date: first ? dateText(this.day.today) : "",
        signs: signs === "" ? "" : say("today.stop", { signs }),
        alerts: alerts === "" ? "" : " " + alerts,
        nothing: say("today.nothing", { name: l.nickname }),
        others: say("today.others", { name: l.nickname }),
        note: l.next?.note ? "“" + l.next.note + "”" : "",
        note_by: l.next?.note_by ?? "",
      },
      if: { nothing: !l.next && l.resting.length === 0, others: l.others.length > 0, note: (l.next?.note ?? "") !== "" },
      slot: {
        next: l.next ? [this.next(l.next)] : [],
        others: l.others.map((o) => part("t-other", { t: { title: o.title, detail: detail(o), lifted: liftedText(o) }, href: { teach: "/teach/" + o.placement } })),
        resting: l.resting.map((o) => this.resting(o)),
      },
    });
    if (!first) {
      // One top-level heading per page: other learners' headings are one level lower.
      lower(f, ".nx h2", "h3");
      lower(f, "h1", "h2");
    }
    return f;
  }
}

/** Replaces the heading at a selector with one of another level and the same text. */
function lower(within: ParentNode, selector: string, level: "h2" | "h3"): void {
  const before = within.querySelector(selector);
  const after = document.createElement(level);
  after.textContent = before?.textContent ?? "";
  before?.replaceWith(after);
}

/** Today, as it applies on this phone. */
export async function todayPage(keep: Keep, day: PhoneDay, deeds: TodayDeeds, fresh: Freshness): Promise<DocumentFragment> {
  const notes = await keep.notes();
  const learners = dayOnPhone(day, await keep.all(), notes, localDay());
  const page = new TodayPage(keep, day, notes, deeds);
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
    if: { notice: false, review: (day.review ?? "") !== "", asked: (day.questions ?? 0) > 0, empty: learners.length === 0, lost: lost.length > 0, unkept: !keep.durable, unsecure: !fresh.secure, offline_ready: fresh.offlineReady },
    href: { review: "/reviews/" + (day.review ?? "") },
    slot: { learners: learners.map((l, i) => page.learner(l, i === 0)) },
    do: { told: () => void told(), read: () => void read(), refresh: () => deeds.refresh() },
  });
}
