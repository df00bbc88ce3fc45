import { saidAloud, spoken } from "../src/ts/phone/saychips";
import { createHash } from "node:crypto";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { expect } from "@playwright/test";
import type { DayOffer, DayStart, Kit, PhoneDay } from "../src/ts/phone/contract";
import { missingTraining, changedPlacements, dayOnPhone } from "../src/ts/phone/day";
import { answered, begin, closedWhere, hasContent, inEffect, revised, undone, withField } from "../src/ts/phone/document";
import { tokensEarned, unfit, instructionIn } from "../src/ts/phone/fits";
import { folded, lastKnown, toKept } from "../src/ts/phone/keep";
import type { Kept } from "../src/ts/phone/keep";
import { parseMeasured } from "../src/ts/phone/measured";
import { newID } from "../src/ts/shared/id";
import { pause } from "../src/ts/phone/outbox";
import { retryAfter } from "../src/ts/phone/send";
import { sha256 } from "../src/ts/phone/sha256";
import { stairPaths } from "../src/ts/phone/stair";
import { SAME_WITHIN, Taps } from "../src/ts/phone/taps";
import { test } from "./demo";
import { root } from "./paths";

// Phone logic that needs no browser.

test("hashes are SHA-256", () => {
  // FIPS 180-4's own examples through node's implementation, lengths around a block boundary, and the
  // contract's examples.
  const texts = ["", "abc", "né 🙂 ضعي", ...[55, 56, 63, 64, 65, 119, 120, 1000].map((n) => "a".repeat(n))];
  const folder = join(root, "internal", "recording", "testdata", "documents");
  for (const name of readdirSync(folder)) texts.push(readFileSync(join(folder, name), "utf8"));
  for (const text of texts) expect(sha256(text)).toBe(createHash("sha256").update(text, "utf8").digest("hex"));
});

test("the document follows the contract", () => {
  const id = newID(Date.parse("2026-03-09T10:30:12.345Z"));
  expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  const empty = begin({ placement: id, author: id, kit: { id, hash: "0" }, device: "d", by: id, how: "live", plannedHelp: "", place: "" }, new Date("2026-03-09T10:30:12.345Z"));
  const one = answered(empty, { outcome: "correct" }, 1200) ?? empty;
  const two = answered(one, { outcome: "incorrect" }, 2400) ?? one;
  const back = undone(two, 3000);
  expect(back.trials[1]).toEqual({ n: 2, rev: 2, at_ms: 3000, void: true });
  expect(inEffect(back).map((t) => t.n)).toEqual([1]);
  expect(one.trials.length).toBe(1); // nothing is changed in place
  const stopped = withField(withField(back, "ended_early", "distress"), "ended_early", "");
  expect(stopped.header.ended_early).toEqual({ rev: 2, value: "" });
  const done = closedWhere(stopped, 5000);
  expect(done.closing?.last).toBe(2);
  expect(closedWhere(done, 9000)).toBe(done); // closes once
  expect(JSON.stringify(closedWhere(stopped, 5000))).toBe(JSON.stringify(done));
});

test("a line is put right in a higher revision, and what is measured counts as recorded", () => {
  const empty = begin({ placement: "p", author: "a", kit: { id: "p", hash: "0" }, device: "d", by: "b", how: "live", kind: "probe", plannedHelp: "", place: "" }, new Date(0));
  expect(empty.header.kind.value).toBe("probe");
  expect(hasContent(empty)).toBe(false);
  const one = answered(empty, { outcome: "correct" }, 10) ?? empty;
  expect(revised(one, 1, { outcome: "incorrect" }, 20).trials).toEqual([{ n: 1, rev: 2, at_ms: 20, answer: { outcome: "incorrect" } }]);
  expect(revised(one, 1, undefined, 20).trials).toEqual([{ n: 1, rev: 2, at_ms: 20, void: true }]);
  expect([one, withField(empty, "count", 0), withField(empty, "durations_ms", [])].map(hasContent)).toEqual([true, true, true]);
  // A session without trials ends when it was last changed, and a stop ends it where it was stopped.
  expect(lastKnown({ doc: empty, ms: 90 })).toBe(90);
  expect(lastKnown({ doc: one, ms: 5 })).toBe(10);
  expect(lastKnown({ doc: one, ms: 90, stopped: { at: 0, ms: 50 } })).toBe(50);
});

test("what a face keeps for itself is stored beside the document and never in what is sent", () => {
  const doc = begin({ placement: "p", author: "a", kit: { id: "p", hash: "0" }, device: "d", by: "b", how: "live", plannedHelp: "", place: "" }, new Date(0));
  const kept = toKept(doc, { face: { name: "count", state: { since: 1_700_000_000_000 } }, ms: 4000 });
  expect(kept.face).toEqual({ name: "count", state: { since: 1_700_000_000_000 } });
  expect(kept.body).toBe(JSON.stringify(doc));
  // A tap stored separately is put into the document, and the state stays beside it.
  const tapped = folded(kept, [{ id: doc.id, n: 1, rev: 1, trial: { n: 1, rev: 1, at_ms: 1, answer: { outcome: "correct" } }, changed: 1 }]);
  expect([tapped.face, tapped.doc.trials.length]).toEqual([kept.face, 1]);
});

test("two taps of the same answer within 300 ms are one, and no true answer is lost", () => {
  // Answers at random moments, with tremor: each true tap may be doubled within the time that counts as one.
  let seed = 20_261_201;
  const random = (): number => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
  for (let round = 0; round < 500; round++) {
    const taps = new Taps();
    let at = 0;
    let last = "";
    let trueAt = 0;
    for (let n = 0; n < 40; n++) {
      const answer = ["alone", "help", "not_yet"][Math.floor(random() * 3)]!;
      // A different answer may come at once; the same one comes at least that long after its own last time.
      const least = answer === last ? trueAt + SAME_WITHIN : at;
      at = Math.max(at, least) + Math.floor(random() * 400);
      expect(taps.counts(answer, at), `a true ${answer} at ${at}`).toBe(true);
      const moment = at;
      while (random() < 0.4 && at + 80 < moment + SAME_WITHIN) {
        at += 1 + Math.floor(random() * 79);
        expect(taps.counts(answer, at), `the second half of the ${answer} of ${moment}, at ${at}`).toBe(false);
      }
      trueAt = moment;
      last = answer;
    }
  }
  const taps = new Taps();
  const taken = ([["a", 0], ["a", 80], ["a", 299], ["a", 300], ["b", 301], ["a", 302], ["a", 601], ["a", 602]] as const).map(([what, at]) => taps.counts(what, at));
  expect(taken).toEqual([true, false, false, true, true, true, false, true]);
});

test("what counts for a step, and what does not", () => {
  const kit = { people: [{ id: "o", name: "Orla" }, { id: "b", name: "Old Bea" }], fits: { people: "with old bea", place: "two rooms" } } as unknown as Kit;
  expect(unfit(kit, "o", [], ["place"])).toEqual(["people"]);
  expect(unfit(kit, "o", ["Old Bea"], ["place"])).toEqual([]);
  expect(unfit(kit, "b", [], [])).toEqual(["place"]);
  expect(unfit({ ...kit, fits: { people: "an adult he does not know" } }, "o", [], ["people"])).toEqual([]);
  expect(unfit({ ...kit, fits: { people: "an adult he does not know" } }, "o", [], [])).toEqual(["people"]);
  const { fits: _, ...old } = kit; // an older kit has no conditions
  expect(unfit(old as Kit, "o", [], [])).toEqual([]);
});

test("tokens are earned one by one, and start over after an exchange", () => {
  const have = (marks: string, n: number) => tokensEarned(Array.from(marks, (m) => (m === "y" ? "correct" : "incorrect")), n);
  expect(["", "y", "yn", "yyy", "yyyn", "yyyy"].map((m) => have(m, 3))).toEqual([0, 1, 1, 3, 0, 1]);
});

test("exact words in the chosen language, otherwise in the family's", () => {
  const kit = { say: "Basuh tangan", say_in: [{ lang: "en", name: "English", text: "Wash hands" }, { lang: "ms", name: "Melayu", text: "Basuh tangan" }] } as unknown as Kit;
  expect(instructionIn(kit, undefined)).toEqual({ text: "Basuh tangan", lang: "ms" });
  expect(instructionIn(kit, "en")).toEqual({ text: "Wash hands", lang: "en" });
  expect(instructionIn(kit, "nb").lang).toBe("ms");
  expect(instructionIn({ say: "Go" } as Kit, "en")).toEqual({ text: "Go", lang: "" });
});

test("what is entered at the end is parsed strictly, and names the field that is invalid", () => {
  const form = (fields: Record<string, string>) => (name: string) => fields[name] ?? "";
  const parsed = (measure: Kit["measure"], fields: Record<string, string>) => parseMeasured(measure, form(fields));
  expect(parsed("count", { count: "12", minutes: "10" })).toEqual({ measured: { count: 12, observed_ms: 600_000 }, wrong: [] });
  expect(parsed("count", { count: "12", minutes: "7:30" }).measured.observed_ms).toBe(450_000);
  expect(parsed("count", { count: "12" })).toEqual({ measured: { count: 12 }, wrong: [] }); // no rate is made up
  expect(parsed("count", { count: "12", minutes: "0" }).wrong).toEqual(["minutes"]);
  expect(parsed("count", { count: "1.5", minutes: "3" }).wrong).toEqual(["count"]);
  expect(parsed("count", { count: "", minutes: "x" }).wrong).toEqual(["count", "minutes"]);
  expect(parsed("duration", { durations: "20, 35 1:30" }).measured).toEqual({ durations_ms: [20_000, 35_000, 90_000] });
  expect(parsed("duration", {}).measured).toEqual({ durations_ms: [] });
  for (const bad of ["long", "1:60", "1:2:3:4", ":30", "86401", "-5"]) expect(parsed("duration", { durations: bad }).wrong).toEqual(["durations"]);
  expect(parsed("intervals", { intervals: "y n N y" }).measured).toEqual({ intervals: [true, false, false, true] });
  expect(parsed("intervals", { intervals: "yes" }).wrong).toEqual(["intervals"]);
});

test("F30, F32: attempts come at growing, random intervals, and never earlier than the server asks", () => {
  for (const random of [0, 0.5, 0.999]) {
    for (let n = 0; n < 40; n++) expect(pause(n, 0, random)).toBeLessThanOrEqual(Math.min(300_000, 1000 * 2 ** n));
    expect(pause(3, 60_000, random)).toBeGreaterThanOrEqual(60_000);
  }
  expect(pause(30, 0, 1)).toBe(300_000);
  const answer = (value: string): Response => new Response(null, { status: 503, headers: { "Retry-After": value } });
  expect(retryAfter(answer("10"))).toEqual({ after: 10_000 });
  expect(retryAfter(answer("Wed, 21 Oct 2015 07:28:00 GMT"))).toEqual({});
});

const start: DayStart = { from: "read", state: "read", wanting: [] };
const offer = (assignment: string, placement: string): DayOffer => ({ assignment, placement, start, title: "t", role: "", trials: 5, minutes: 4, steps: [], here: 0, step: "s", note: "", note_by: "", note_on: "", said: [], lifted: null, kinds: ["teaching"] });
const dayOf = (next: DayOffer, resting: DayOffer[] = []): PhoneDay => ({
  contract: 1, as_of: "2026-03-12T09:30:00Z", today: "2026-03-12", account: "a", name: "n", device: "", kits: [], lost: [], pin_set: false, questions: 0, agreed: 0, messages: 0, review: "",
  seal_key: { kid: "", kty: "EC", crv: "P-256", x: "", y: "" },
  learners: [{ id: "l", nickname: "K", stop_signs: "", alerts: { asked: true, allergy: "", choking: "", seizure: "", mouthing: "" }, next, others: [], resting, checks: [], done: [], begun: [], paused: [], finished: [], fact: null }],
});

test("pauses, talks and updates follow from what the phone knows", () => {
  const notes = { talks: [], reads: [], changed: [], notToday: { day: "", assignments: [] }, told: [], untaken: [], spared: 0, asked: 0, tag: "" };
  const day = dayOf(offer("A", "P"), [offer("B", "Q")]);
  const no = { id: "r", placement: "P", body: "", changed: 1000, doc: { header: { ended_early: { rev: 1, value: "distress" } } } } as unknown as Kept;
  const rests = (kept: Kept[], more = {}): string[] => dayOnPhone(day, kept, { ...notes, ...more }, "")[0]!.resting.map((o) => o.placement);
  expect(rests([])).toEqual(["Q"]);
  expect(rests([no])).toEqual(["P", "Q"]);
  const talk = (assignment: string, made: number) => ({ id: "t", assignment, made, at: "" });
  expect(rests([no], { talks: [talk("A", 2000)] })).toEqual(["P", "Q"]); // only the clinic lifts a pause
  expect(rests([], { talks: [talk("B", 1)] })).toEqual(["Q"]);
  const both = dayOf(offer("A", "P"), []);
  both.learners[0]!.others = [offer("A", "O"), offer("B", "Q")];
  expect(dayOnPhone(both, [no], notes, "")[0]!.resting.map((o) => o.placement)).toEqual(["P", "O"]); // in both roles
  const seen = { ...no, storedAt: 3000, receipt: { contract: 1, id: "r", sha256: "", safe_through: 1, closed: true, stored_at: "2026-03-12T09:00:00Z" } } as Kept;
  expect(rests([seen], { asked: 4000 })).toEqual(["Q"]); // the day includes it
  expect(rests([seen], { asked: 2000 })).toEqual(["P", "Q"]); // requested before the receipt arrived, so it may not include it
  expect(changedPlacements(undefined, day)).toEqual([]);
  expect(changedPlacements(dayOf(offer("A", "O")), day)).toEqual(["P"]);
  expect(changedPlacements(day, day)).toEqual([]);
  const roles = dayOf(offer("A", "P"), [offer("A", "Q")]);
  expect(changedPlacements(roles, roles)).toEqual([]); // one program, two roles
  expect(changedPlacements(dayOf(offer("A", "P")), roles)).toEqual(["Q"]);
});

test("what is missing before a step may be started; an older day requires nothing", () => {
  const notes = { talks: [], reads: [], changed: [], notToday: { day: "", assignments: [] }, told: [], untaken: [], spared: 0, asked: 0, tag: "" };
  const first = (from: DayStart["from"], state: DayStart["state"], more = {}): string => missingTraining({ ...offer("A", "P"), start: { from, state, wanting: [] } }, { ...notes, ...more });
  expect(first("read", "")).toBe("read");
  expect(first("read", "read")).toBe("");
  expect(first("practised", "shown")).toBe("practised");
  expect(first("practised", "alone")).toBe("");
  const read = { reads: [{ id: "t", assignment: "A", made: 1, at: "" }] };
  expect(first("read", "", read)).toBe(""); // said here, not sent yet
  expect(first("practised", "", read)).toBe("practised");
  const { start: _, ...older } = offer("A", "P");
  expect(missingTraining(older as DayOffer, notes)).toBe("");
});

test("directions in brackets are not said, and (name) is no direction", () => {
  expect(spoken("Your turn.")).toEqual([{ text: "Your turn.", aloud: true }]);
  expect(spoken("(Hold out the ball.) Your turn.")).toEqual([
    { text: "Hold out the ball.", aloud: false },
    { text: "Your turn.", aloud: true },
  ]);
  expect(spoken("(Hold out the ball.)")).toEqual([{ text: "Hold out the ball.", aloud: false }]);
  expect(spoken("(Wait).")).toEqual([{ text: "Wait", aloud: false }]);
  expect(spoken("")).toEqual([]);
  expect(saidAloud("[Point to the mat.]")).toBe(false);
  expect(saidAloud("Give me the (name).")).toBe(true);
  expect(spoken("Give me the (name).")).toHaveLength(1);
  expect(spoken("Where is the (name of the thing)?")).toHaveLength(1);
});

test("the small stairway has the server's measures", () => {
  // Three steps, the first mastered, the second current with help. By the sheet: ground 1 at 23, rise 3,
  // going 9.
  const s = stairPaths([{ label: "1", help: false }, { label: "2", help: true }, { label: "3", help: false }], 1);
  expect(s.width).toBe(31);
  expect(s.paths[1]).toEqual(["d-ink", "M1 19h9.3v4h-9.3z"]);
  expect(s.paths[4]).toEqual(["d-ink", "M10 15h9v2.5h-9z"]);
});
