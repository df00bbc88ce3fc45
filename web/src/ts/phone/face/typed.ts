// One total typed at the end, for what is written down afterwards and is not recorded try by try.

import { parseMeasured, part } from "./base";
import type { Kit } from "../contract";
import type { Face, FaceModule, Fields, Look, Session } from "./face";
import { headerFields, measuredSaid } from "./said";
import { intervalsOf } from "./sampling";

function section({ kit }: Look): HTMLElement {
  const f: DocumentFragment = part("t-face-typed");
  const root = f.firstElementChild as HTMLElement;
  root.querySelectorAll<HTMLElement>("[data-measure]").forEach((e) => (e.hidden = e.dataset.measure !== kit.measure));
  return root;
}

/** Parses what is in the fields; an empty duration is a session in which it never happened only if that is said. */
export function read(kit: Kit, field: (name: string) => string, never: boolean): { fields: Fields; wrong: string[] } {
  const { measured, wrong } = parseMeasured(kit.measure, field);
  const fields: Fields = { ...measured };
  if (kit.measure === "duration" && field("durations").trim() === "" && !never) wrong.push("durations");
  if (kit.measure === "duration" && field("durations").trim() !== "" && never) wrong.push("durations");
  const p = kit.measure === "intervals" ? intervalsOf(kit) : undefined;
  if (p) Object.assign(fields, { interval_kind: p.kind, interval_ms: p.ms });
  return { fields, wrong };
}

class Typed implements Face {
  constructor(
    private readonly root: HTMLElement,
    private readonly s: Session,
  ) {
    const form = root.querySelector<HTMLFormElement>("[data-count]");
    form?.addEventListener("submit", (event) => {
      event.preventDefault();
      s.inTurn(() => this.submit(form));
    });
  }

  private async submit(form: HTMLFormElement): Promise<void> {
    const said = new FormData(form);
    const { fields, wrong } = read(this.s.kit, (name) => String(said.get(name) ?? ""), said.get("never") !== null);
    this.root.querySelectorAll<HTMLElement>("[data-wrong]").forEach((e) => (e.hidden = !wrong.includes(e.dataset.wrong ?? "")));
    form.querySelectorAll<HTMLInputElement>("input").forEach((e) => e.setAttribute("aria-invalid", String(wrong.includes(e.name))));
    if (wrong.length > 0) return form.querySelector<HTMLInputElement>(`input[name="${wrong[0]}"]`)?.focus();
    await this.s.set(fields);
    await this.s.finish();
  }

  draw(): void {
    // Nothing but the form, which shows itself.
  }

  progress(): ReturnType<Face["progress"]> {
    return { text: "", marks: [] };
  }

  enough(): boolean {
    return false; // submitting the form finishes
  }

  summary(): string {
    return measuredSaid(headerFields(this.s.doc.header));
  }

  written(): [] {
    return [];
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Typed(root, session) };
