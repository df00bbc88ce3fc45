// What was measured, in one sentence: asked before a session ends, and repeated after it.

import { clockText, say } from "./base";
import type { Fields } from "./face";

function countSaid({ count: n, observed_ms: ms, clock }: Fields): string {
  if (n === undefined) return "";
  if (ms !== undefined) return say("face.counted_in", { n, time: clockText(ms) });
  return say(clock === "none" ? "face.counted_no_clock" : "face.counted", { n });
}

function durationsSaid({ durations_ms: all, estimated }: Fields): string {
  if (all === undefined) return "";
  if (all.length === 0) return say("face.summary_never");
  const time = clockText(all.reduce((sum, ms) => sum + ms, 0));
  const about = (estimated?.length ?? 0) > 0 ? " " + say("face.summary_estimated", { n: estimated!.length }) : "";
  return say("face.summary_bouts", { n: all.length, time }) + about;
}

function intervalsSaid({ intervals, unseen }: Fields): string {
  const left = unseen?.length ?? 0;
  if (intervals === undefined || intervals.length + left === 0) return "";
  const seen = say("face.summary_intervals", { n: intervals.length, yes: intervals.filter((yes) => yes).length });
  return left > 0 ? seen + " " + say("face.summary_unseen", { n: left }) : seen;
}

/** Empty if nothing was measured. */
export const measuredSaid = (fields: Fields): string => [countSaid(fields), durationsSaid(fields), intervalsSaid(fields)].filter((t) => t !== "").join(" ");

/** What a header has. */
export function headerFields(header: object): Fields {
  const out: Fields = {};
  Object.entries(header).forEach(([name, field]) => Object.assign(out, { [name]: (field as { value?: unknown } | undefined)?.value }));
  return out;
}
