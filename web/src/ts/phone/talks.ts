// What a family says about a no, and "I have read this": recorded here, even without signal, and sent after the
// sessions.

import { SENT_HEADER } from "./contract";
import type { HaveRead } from "./contract";
import { newID } from "../shared/id";
import { deviceTime } from "./document";
import type { Keep, Talk } from "./keep";

type NoteKind = "talks" | "reads";

/**
 * Records on this phone what was said about a child's no in a program (line: in the person's words, or empty
 * for "we talked about it"), or that its teaching was read.
 */
export async function addNote(keep: Keep, what: NoteKind, assignment: string, line = ""): Promise<void> {
  const now = new Date();
  const made: Talk = { id: newID(now.getTime()), assignment, made: now.getTime(), at: deviceTime(now), ...(line === "" ? {} : { line }) };
  // Reading it once is enough; everything that was said is kept.
  await keep.note((n) => ({ ...n, [what]: [...n[what].filter((t) => what === "talks" || t.assignment !== assignment), made] }));
}

/** Sends what was said and is not recorded on the server yet. True if something was sent. */
export async function sendTalks(keep: Keep): Promise<boolean> {
  const reads = await sendAll(keep, "reads");
  return (await sendAll(keep, "talks")) || reads;
}

async function sendAll(keep: Keep, what: NoteKind): Promise<boolean> {
  let sent = false;
  for (const t of (await keep.notes())[what].filter((x) => x.noted === undefined)) {
    const outcome = await sendOne(what, t);
    if (outcome === "later") return sent;
    const day = await keep.day();
    sent = true;
    await keep.note((n) => ({
      ...n,
      untaken: outcome === "refused" && what === "talks" ? [...n.untaken, t.made] : n.untaken,
      [what]: outcome === "noted" ? n[what].map((x) => (x.id === t.id ? { ...x, noted: day?.as_of ?? "" } : x)) : n[what].filter((x) => x.id !== t.id),
    }));
  }
  return sent;
}

async function sendOne(what: NoteKind, t: Talk): Promise<"noted" | "refused" | "later"> {
  try {
    const response = await fetch("/phone/" + what + "/" + t.id, {
      method: "PUT",
      headers: { "Content-Type": "application/json", [SENT_HEADER]: deviceTime(new Date()) },
      body: JSON.stringify({ assignment: t.assignment, at: t.at, ...(t.line === undefined ? {} : { line: t.line }) }),
      credentials: "same-origin",
      cache: "no-store",
      redirect: "error",
    });
    if (response.status === 200) {
      const answer = (await response.json()) as Pick<HaveRead, "id">;
      return answer.id === t.id ? "noted" : "later";
    }
    // No longer accessible, or not a valid talk: retrying would not help. The person is told.
    return response.status === 404 || response.status === 422 ? "refused" : "later";
  } catch {
    return "later";
  }
}
