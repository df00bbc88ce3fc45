// Chips, and the exact words in the chosen language.

import type { Kit } from "./contract";
import { instructionIn } from "./fits";
import { notePhone } from "./phonedb";
import { part } from "./words";

/** A choice, single or one of several. */
export function chip(name: string, value: string, label: string, checked: boolean, kind = "radio"): DocumentFragment {
  const f = part("t-chip", { t: { label } });
  const input = f.querySelector("input")!;
  input.type = kind;
  input.name = name;
  input.value = value;
  input.checked = checked;
  return f;
}

/** The languages with exact words; the choice is remembered. */
export function languageChips(kit: Kit, lang: string | undefined, shown: () => HTMLElement[]): Node[] {
  const now = instructionIn(kit, lang).lang;
  return (kit.say_in ?? []).map((s) => {
    const f = chip("say_in", s.lang, s.name, s.lang === now);
    f.querySelector("span")!.lang = s.lang;
    f.querySelector("input")!.addEventListener("change", () => {
      shown().forEach((e) => sayIn(e, s));
      void notePhone({ say: s.lang });
    });
    return f;
  });
}

/** Shows the exact words. */
export function sayIn(e: HTMLElement, words: { text: string; lang: string }): void {
  e.textContent = words.text === "" ? "" : "“" + words.text + "”";
  if (words.lang !== "") e.lang = words.lang;
}
