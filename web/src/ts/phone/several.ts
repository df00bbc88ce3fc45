// Several tries at once: a number of each answer, entered afterwards.

import { answersOf } from "./answers";
import type { Answer, Kit, RecordingDocument } from "./contract";
import { answered, inEffect } from "./document";

const MOST = 99;

/** Wires the rows: one less, one more. */
export function wireSeveral(root: ParentNode): void {
  root.querySelectorAll(".severalrow").forEach((row) => {
    const out = row.querySelector<HTMLOutputElement>("[data-n]")!;
    const add = (by: number): void => void (out.value = String(Math.max(0, Math.min(MOST, Number(out.value) + by))));
    row.querySelector("[data-less]")?.addEventListener("click", () => add(-1));
    row.querySelectorAll<HTMLElement>("[data-plus]").forEach((e) => e.addEventListener("click", () => add(Number(e.dataset.plus))));
  });
}

/** The document with what the rows say, in row order; the same document if they say nothing. */
export function addSeveral(root: ParentNode, kit: Kit, levels: string[], from: RecordingDocument, at_ms: number): RecordingDocument {
  const answers = answersOf(kit);
  const chosen = root.querySelector<HTMLInputElement>('[data-of] input[name="of"]:checked')?.value ?? "";
  let doc = from;
  root.querySelectorAll<HTMLOutputElement>(".severalrow [data-n]").forEach((row) => {
    const answer = answers[Number(row.dataset.n)]?.answer;
    if (!answer || (answer.help !== undefined && !levels.includes(answer.help))) return;
    for (let i = 0; i < Number(row.value); i++) doc = answered(doc, afterwards(kit, doc, answer, chosen), at_ms) ?? doc;
  });
  return doc;
}

/** An answer entered afterward: positions are unknown, and known targets are not asked for. */
function afterwards({ targets, choices }: Kit, doc: RecordingDocument, answer: Answer, chosen: string): Answer {
  const out = { ...answer };
  const target = chosen || targets[inEffect(doc).length % (targets.length || 1)]?.key;
  if (target) out.target = target;
  if (choices >= 2) out.choices = choices;
  return out;
}
