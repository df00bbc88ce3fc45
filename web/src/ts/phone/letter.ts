// What is written here without signal: messages, answers to questions, incident reports. The document of each
// (package internal/letter on the server).

import { newID } from "../shared/id";
import { deviceTime } from "./document";
import type { Letter, LetterKind } from "./keep";

export const LETTER_MEDIA_TYPE = "application/vnd.newel.letter+json";
export const LETTER_RECEIPT = "application/vnd.newel.letter-receipt+json";
const CONTRACT = 1;

const KINDS: [RegExp, LetterKind][] = [
  [/^\/messages$/, "message"],
  [/^\/questions\/([0-9a-f-]+)$/, "answer"],
  [/^\/incidents$/, "incident"],
  [/^\/incidents\/([0-9a-f-]+)$/, "incident_note"],
];

/** What a form writes, by its address: the kind, and the question or incident that it is about. */
export function letterOf(action: string): { kind: LetterKind; of: string } | undefined {
  for (const [pattern, kind] of KINDS) {
    const m = pattern.exec(action);
    if (m) return { kind, of: m[1] ?? "" };
  }
  return undefined;
}

/** The field that a page shows again while the letter is waiting. */
const SHOWN: Record<LetterKind, string> = { message: "message", answer: "answer", incident: "saw", incident_note: "note" };

/** A new letter. fields: the form's, by name. */
export function newLetter(author: string, about: { kind: LetterKind; of: string }, fields: Record<string, string>, path: string): Letter {
  const now = new Date();
  const id = newID(now.getTime());
  const body = JSON.stringify({ letter: CONTRACT, id, author, kind: about.kind, of: about.of, at: deviceTime(now), fields });
  return { id, kind: about.kind, path, text: fields[SHOWN[about.kind]] ?? "", body, at: now.getTime() };
}
