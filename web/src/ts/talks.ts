// "We talked about it": made here, also without signal, and sent after the sessions that it is about.

import { SENT_HEADER } from "./contract";
import type { Talked } from "./contract";
import { deviceTime, newID } from "./document";
import type { Keep, Talk } from "./keep";

/** Notes a talk on this phone. */
export async function talk(keep: Keep, assignment: string): Promise<void> {
  const now = new Date();
  const made: Talk = { id: newID(now.getTime()), assignment, made: now.getTime(), at: deviceTime(now) };
  await keep.note((n) => ({ ...n, talks: [...n.talks.filter((t) => t.assignment !== assignment), made] }));
}

/** Sends the talks that have not been noted yet. True when one was. */
export async function sendTalks(keep: Keep): Promise<boolean> {
  let some = false;
  for (const t of (await keep.notes()).talks.filter((x) => x.noted === undefined)) {
    const heard = await sendOne(t);
    if (heard === "later") return some;
    const day = await keep.day();
    some = true;
    await keep.note((n) => ({
      ...n,
      untaken: heard === "refused" ? [...n.untaken, t.made] : n.untaken,
      talks: heard === "noted" ? n.talks.map((x) => (x.id === t.id ? { ...x, noted: day?.as_of ?? "" } : x)) : n.talks.filter((x) => x.id !== t.id),
    }));
  }
  return some;
}

async function sendOne(t: Talk): Promise<"noted" | "drop" | "refused" | "later"> {
  try {
    const response = await fetch("/phone/talks/" + t.id, {
      method: "PUT",
      headers: { "Content-Type": "application/json", [SENT_HEADER]: deviceTime(new Date()) },
      body: JSON.stringify({ assignment: t.assignment, at: t.at }),
      credentials: "same-origin",
      cache: "no-store",
      redirect: "error",
    });
    if (response.status === 200) {
      const said = (await response.json()) as Talked;
      if (said.id !== t.id) return "later";
      return said.rests ? "drop" : "noted";
    }
    // Out of reach by now, or no talk at all: no second try would help. The person hears of it.
    return response.status === 404 || response.status === 422 ? "refused" : "later";
  } catch {
    return "later";
  }
}
