import { expect } from "@playwright/test";
import { boutFields, corrected, doubtful, neverHappened, NO_BOUTS, started, stillGoing, stopped, type Bouts } from "../src/ts/phone/face/bouts";
import { countFields, countPhase, mayBeLate, pausedOrNot, ranFor, startClock, tapped, withoutClock, type Counting } from "../src/ts/phone/face/counting";
import { answeredNow, intervalFields, intervalsOf, put, whereIn, type Intervals, type Sampling } from "../src/ts/phone/face/sampling";
import type { Kit } from "../src/ts/phone/contract";
import { clockText, parseTime } from "../src/ts/phone/measured";
import { test } from "./demo";

// What counts, durations and intervals make of the clock and of taps. No page, no waiting: the time is an argument.

const AT = Date.parse("2026-03-09T10:30:00Z");
const s = (seconds: number): number => AT + seconds * 1000;
const LIMIT = 600_000;

test.describe("a count with a clock", () => {
  const run = (steps: [at: number, what: 1 | -1 | "pause"][]): Counting =>
    steps.reduce((m, [at, what]) => (what === "pause" ? pausedOrNot(m, LIMIT, s(at)) : tapped(m, what, LIMIT, s(at))), startClock(s(0)));
  const cases: { name: string; steps: [number, 1 | -1 | "pause"][]; at: number; phase: string; count: number; observed: number }[] = [
    { name: "nothing happened", steps: [], at: 30, phase: "running", count: 0, observed: 30 },
    { name: "taps count", steps: [[1, 1], [2, 1], [9, 1]], at: 10, phase: "running", count: 3, observed: 10 },
    { name: "one less corrects", steps: [[1, 1], [2, 1], [3, -1]], at: 10, phase: "running", count: 1, observed: 10 },
    { name: "never below none", steps: [[1, 1], [2, -1], [3, -1]], at: 10, phase: "running", count: 0, observed: 10 },
    { name: "a pause stops seconds and count", steps: [[10, 1], [20, "pause"], [25, 1]], at: 50, phase: "paused", count: 1, observed: 20 },
    { name: "one less works in a pause", steps: [[10, 1], [20, "pause"], [25, -1]], at: 50, phase: "paused", count: 0, observed: 20 },
    { name: "it goes on after a pause", steps: [[20, "pause"], [50, "pause"], [55, 1]], at: 60, phase: "running", count: 1, observed: 30 },
    { name: "the clock stops at the limit exactly", steps: [[599, 1]], at: 5000, phase: "over", count: 1, observed: 600 },
    { name: "a pause does not use up the limit", steps: [[300, "pause"], [900, "pause"]], at: 1199, phase: "running", count: 0, observed: 599 },
    { name: "one more in time, within a minute", steps: [[601, 1], [660, 1]], at: 700, phase: "over", count: 2, observed: 600 },
    { name: "not later", steps: [[661, 1]], at: 700, phase: "over", count: 0, observed: 600 },
    { name: "a pause after the limit changes nothing", steps: [[700, "pause"], [701, 1]], at: 702, phase: "over", count: 0, observed: 600 },
  ];
  for (const c of cases) {
    test(c.name, () => {
      const m = run(c.steps);
      expect(countPhase(m, LIMIT, s(c.at))).toBe(c.phase);
      expect(countFields(m, LIMIT, s(c.at))).toEqual({ count: c.count, observed_ms: c.observed * 1000, clock: "used" });
    });
  }

  test("one more in time is offered for a minute, by the clock and not by when the page noticed", () => {
    const m = startClock(s(0));
    expect([599, 600, 660, 661].map((at) => mayBeLate(m, LIMIT, s(at)))).toEqual([false, true, true, false]);
    expect(mayBeLate(pausedOrNot(m, LIMIT, s(10)), LIMIT, s(660))).toBe(false);
  });

  test("without a limit it runs on; a clock set back never runs backwards", () => {
    expect(countPhase(startClock(s(0)), 0, s(100_000))).toBe("running");
    expect(ranFor(startClock(s(0)), 0, s(-500))).toBe(0);
  });
});

test("a count without a clock has no observed time until someone says one", () => {
  const m = tapped(tapped(withoutClock(), 1, LIMIT, s(1)), 1, LIMIT, s(90_000));
  expect(countFields(m, LIMIT, s(90_001))).toEqual({ count: 2, observed_ms: undefined, clock: "none" });
  expect(countFields({ ...m, said: 420_000 }, LIMIT, s(0)).observed_ms).toBe(420_000);
  expect(countFields(undefined, LIMIT, s(0))).toEqual({ count: undefined, observed_ms: undefined, clock: undefined });
});

test.describe("durations, bout by bout", () => {
  const bout = (m: Bouts, from: number, to: number): Bouts => stopped(started(m, s(from)), s(to));

  test("each bout is as long as the wall clock says, however long the phone slept", () => {
    const m = bout(bout(NO_BOUTS, 0, 14), 30, 4000);
    expect(boutFields(m)).toEqual({ durations_ms: [14_000, 3_970_000], estimated: undefined });
  });

  test("nothing is recorded before a bout ends: an empty list only if someone says that it never happened", () => {
    expect(boutFields(NO_BOUTS).durations_ms).toBeUndefined();
    expect(boutFields(started(NO_BOUTS, s(0))).durations_ms).toBeUndefined();
    expect(boutFields(neverHappened(NO_BOUTS)).durations_ms).toEqual([]);
  });

  test("it never happened only without any bout", () => {
    expect(neverHappened(started(NO_BOUTS, s(0))).never).toBeUndefined();
    expect(neverHappened(bout(NO_BOUTS, 0, 5)).never).toBeUndefined();
  });

  test("a bout starts once and stops once", () => {
    const m = started(NO_BOUTS, s(0));
    expect(started(m, s(5)).since).toBe(s(0));
    const over = stopped(m, s(9));
    expect(stopped(over, s(20))).toEqual(over);
  });

  test("still going is asked after five minutes or three times the longest bout, and again after as long", () => {
    const ran = (m: Bouts, seconds: number): boolean => doubtful(started(m, s(10_000)), s(10_000 + seconds));
    expect([299, 300].map((n) => ran(NO_BOUTS, n))).toEqual([false, true]);
    expect([299, 300].map((n) => ran(bout(NO_BOUTS, 0, 60), n))).toEqual([false, true]);
    expect([599, 600].map((n) => ran(bout(NO_BOUTS, 0, 200), n))).toEqual([false, true]);
    const told = stillGoing(started(NO_BOUTS, s(0)), s(300));
    expect([599, 600].map((n) => doubtful(told, s(n)))).toEqual([false, true]);
    expect(doubtful(NO_BOUTS, s(9999))).toBe(false);
  });

  test("an earlier end is an estimate, and never before the start", () => {
    const m = started(bout(NO_BOUTS, 0, 10), s(100));
    expect(boutFields(stopped(m, s(400), 120_000))).toEqual({ durations_ms: [10_000, 180_000], estimated: [2] });
    expect(boutFields(stopped(m, s(400), 999_000)).durations_ms).toEqual([10_000, 0]);
  });

  test("a length put right is an estimate; a bout taken out renumbers the others", () => {
    const m = corrected(bout(bout(bout(NO_BOUTS, 0, 5), 10, 17), 20, 29), 1, 12_000);
    expect(boutFields(m)).toEqual({ durations_ms: [5_000, 12_000, 9_000], estimated: [2] });
    expect(boutFields(corrected(m, 0, undefined))).toEqual({ durations_ms: [12_000, 9_000], estimated: [1] });
  });
});

test.describe("intervals", () => {
  const p = (kind: Intervals["kind"], seconds = 30, n = 4): Intervals => ({ kind, ms: seconds * 1000, n });
  /** Answers at some seconds; later ones see what was answered before. */
  const run = (i: Intervals, answers: [at: number, yes: boolean][]): Sampling =>
    answers.reduce((m, [at, yes]) => answeredNow(m, i, s(at), yes), { start: s(0), seen: [] } as Sampling);

  test("where one is", () => {
    const m: Sampling = { start: s(0), seen: [] };
    const at = (n: number) => whereIn(m, p("momentary"), s(n));
    expect(whereIn(undefined, p("momentary"), s(0)).phase).toBe("before");
    expect(at(0)).toEqual({ phase: "watching", k: 1, left: 30_000 });
    expect(at(29.9)).toEqual({ phase: "watching", k: 1, left: 100 });
    expect(at(30)).toEqual({ phase: "asked", k: 1, left: 6_000 });
    expect(at(35.9).phase).toBe("asked");
    expect(at(36)).toEqual({ phase: "watching", k: 2, left: 24_000 });
    expect(at(120)).toEqual({ phase: "asked", k: 4, left: 6_000 });
    expect(at(126)).toEqual({ phase: "over", k: 4, left: 0 });
  });

  test("short intervals are asked about for a third of one", () => {
    expect(whereIn({ start: s(0), seen: [] }, p("momentary", 6), s(7.9)).phase).toBe("asked");
    expect(whereIn({ start: s(0), seen: [] }, p("momentary", 6), s(8)).phase).toBe("watching");
  });

  const cases: { name: string; kind: Intervals["kind"]; answers: [number, boolean][]; at: number; seen: boolean[]; unseen?: number[] }[] = [
    { name: "momentary: asked at the buzz only", kind: "momentary", answers: [[10, true], [31, true], [40, true], [61, false]], at: 70, seen: [true, false] },
    { name: "momentary: what nobody answered is left out", kind: "momentary", answers: [[31, true], [92, true]], at: 100, seen: [true, true], unseen: [2] },
    { name: "partial: yes at once, no only at the buzz", kind: "partial", answers: [[5, false], [12, true], [40, false], [62, false]], at: 70, seen: [true, false] },
    { name: "whole: no at once, yes only at the buzz", kind: "whole", answers: [[5, true], [12, false], [61, true]], at: 70, seen: [false, true] },
    { name: "the first answer of an interval stays", kind: "partial", answers: [[12, true], [30.5, false]], at: 40, seen: [true] },
    { name: "a phone that slept leaves what it slept through unseen", kind: "momentary", answers: [[31, true], [121, false]], at: 130, seen: [true, false], unseen: [2, 3] },
    { name: "all slept through", kind: "momentary", answers: [], at: 9999, seen: [], unseen: [1, 2, 3, 4] },
    { name: "the interval that is asked about is not unseen yet", kind: "momentary", answers: [[31, true]], at: 62, seen: [true] },
  ];
  for (const c of cases) {
    test(c.name, () => {
      const i = p(c.kind);
      expect(intervalFields(run(i, c.answers), i, s(c.at))).toEqual({ intervals: c.seen, unseen: c.unseen, interval_kind: c.kind, interval_ms: 30_000 });
    });
  }

  test("when the session ends, what was asked and not answered is unseen, and what runs is left out", () => {
    const i = p("partial");
    expect(intervalFields(run(i, [[31, true]]), i, s(62), true)).toMatchObject({ intervals: [true], unseen: [2] });
    expect(intervalFields(run(i, [[31, true]]), i, s(50), true)).toMatchObject({ intervals: [true], unseen: undefined });
  });

  test("any interval can be put right, also to not seen", () => {
    const i = p("momentary");
    const m = put(put(run(i, [[31, true]]), 2, false), 1, null);
    expect(intervalFields(m, i, s(70))).toMatchObject({ intervals: [false], unseen: [1] });
  });

  test("a step that does not say what its intervals are has none", () => {
    expect(intervalsOf({ interval_kind: "whole", interval_seconds: 20, intervals: 9 } as Kit)).toEqual({ kind: "whole", ms: 20_000, n: 9 });
    expect(intervalsOf({ intervals: 9, interval_seconds: 20 } as Kit)).toBeUndefined();
    expect(intervalsOf({ interval_kind: "whole" } as Kit)).toBeUndefined();
  });
});

test("a length of time as people read and write it", () => {
  expect([0, 9_900, 65_000, 725_000, 3_723_000].map(clockText)).toEqual(["0:00", "0:09", "1:05", "12:05", "1:02:03"]);
  expect(["90", "1:30", "1:02:03", "0"].map((t) => parseTime(t, "seconds"))).toEqual([90_000, 90_000, 3_723_000, 0]);
  expect(["2", "1:30", "0:20"].map((t) => parseTime(t, "minutes"))).toEqual([120_000, 90_000, 20_000]);
  for (const bad of ["", "x", "1:75", "1.5", "-1", "1:2:3:4", "100000"]) expect(parseTime(bad, "seconds")).toBeUndefined();
});
