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
      shown().forEach((e) => sayIn(e, s, namesOf(kit)));
      void notePhone({ say: s.lang });
    });
    return f;
  });
}

/** The names of what a step asks for. */
export const namesOf = (kit: Kit): string[] => kit.targets.map((t) => t.name);

/** A part of what is written as words: said aloud, or a direction in brackets for the person who teaches. */
export interface Spoken {
  text: string;
  aloud: boolean;
}

const NAME = /\((?:the |its |a )?name(?: of [^()]*)?\)/gi;
const HERE = "\u0000"; // where a target's name goes

/** Splits words into what is said aloud and directions in brackets, in their order; "(name)" is not a direction. */
export function spoken(text: string): Spoken[] {
  const parts: Spoken[] = [];
  text.replace(NAME, HERE).split(/([(\[][^()[\]]*[)\]])/).forEach((part, i) => {
    const bare = (i % 2 === 1 ? part.slice(1, -1) : part).trim();
    // A full stop alone is what was left of a sentence in brackets.
    if (/[^\s.!?…]/.test(bare)) parts.push({ text: bare, aloud: i % 2 === 0 });
  });
  return parts;
}

/** Whether anything of the words is said aloud. */
export const saidAloud = (text: string): boolean => spoken(text).some((s) => s.aloud);

/** Shows the exact words, and directions in brackets apart from them. names: what "(name)" may be filled with. */
export function sayIn(e: HTMLElement, words: { text: string; lang: string }, names: string[] = []): void {
  e.textContent = "";
  spoken(words.text).forEach((s, i) => {
    if (i > 0) e.appendChild(document.createTextNode(" "));
    if (!s.aloud) {
      const direction = e.appendChild(document.createElement("span"));
      direction.className = "direction";
      direction.textContent = s.text;
      return;
    }
    s.text.split(HERE).forEach((text, n) => {
      if (n > 0) {
        const name = e.appendChild(document.createElement("span"));
        name.dataset.name = names.join(" / ");
        name.textContent = names.length > 0 ? names.join(" / ") : "…";
      }
      e.appendChild(document.createTextNode((n === 0 ? "“" : "") + text));
    });
    e.appendChild(document.createTextNode("”"));
  });
  if (words.lang !== "") e.lang = words.lang;
}
