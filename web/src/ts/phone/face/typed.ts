// One total typed at the end, for what is written down afterwards and is not recorded try by try.

import { hasContent, parseMeasured, part, say } from "./base";
import type { Kit } from "../contract";
import type { Face, FaceModule, Fields, Look, Session } from "./face";

function section({ kit }: Look): HTMLElement {
  const f: DocumentFragment = part("t-face-typed");
  const root = f.firstElementChild as HTMLElement;
  root.querySelectorAll<HTMLElement>("[data-measure]").forEach((e) => {
    const shown = e.dataset.measure === kit.measure;
    e.hidden = !shown;
    e.querySelectorAll("input").forEach((i) => (i.required = shown && i.required)); // hidden fields are not required
  });
  return root;
}

/** Parses what is in the fields; an empty duration is a session in which it never happened only if that is said. */
function read(kit: Kit, form: HTMLFormElement): Fields | undefined {
  const said = new FormData(form);
  const never = said.get("never") !== null;
  if (kit.measure === "duration" && String(said.get("durations") ?? "").trim() === "" && !never) return undefined;
  return parseMeasured(kit.measure, (name) => String(said.get(name) ?? ""));
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
    const fields = read(this.s.kit, form);
    const wrong = this.root.querySelector<HTMLElement>("[data-count-error]");
    if (wrong) {
      wrong.hidden = fields !== undefined;
      wrong.textContent = fields ? "" : say(this.s.kit.measure === "duration" ? "recorder.durations_bad" : "recorder.count_bad");
    }
    if (!fields) return;
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
    return hasContent(this.s.doc) ? say("recorder.done_typed") : "";
  }

  written(): [] {
    return [];
  }
}

export const face: FaceModule = { section, attach: (root, session) => new Typed(root, session) };
