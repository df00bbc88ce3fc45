// What a session must be like to count for its step, as far as the person recording it can say.

import type { Fits, Kit } from "./contract";

export type Condition = keyof Fits;

const CONDITIONS: Condition[] = ["people", "place", "materials"];

/** The people whom the step's words name. */
export function namedPeople(kit: Kit): { id: string; name: string }[] {
  const plain = (text: string): string => ` ${text.toLowerCase().split(/[\s,;.:/()]+/).join(" ").trim()} `;
  const words = plain(kit.fits?.people ?? "");
  return kit.people.filter((p) => words.includes(plain(p.name)));
}

/** The conditions shown as check boxes; who is present comes from the chips if the step names people. */
export function conditionsToCheck(kit: Kit): { condition: Condition; text: string }[] {
  return CONDITIONS.flatMap((condition) => {
    const text = kit.fits?.[condition] ?? "";
    return text === "" || (condition === "people" && namedPeople(kit).length > 0) ? [] : [{ condition, text }];
  });
}

/** The conditions of the step that the session did not meet. */
export function unfit(kit: Kit, by: string, present: string[], kept: string[]): Condition[] {
  const out = conditionsToCheck(kit).map((t) => t.condition).filter((c) => !kept.includes(c));
  const named = namedPeople(kit);
  if (named.length > 0 && !named.some((p) => p.id === by || present.includes(p.name))) out.unshift("people");
  return out;
}

/** The exact words in the language chosen on this phone, otherwise as the kit has them. */
export function instructionIn(kit: Kit, lang: string | undefined): { text: string; lang: string } {
  const chosen = kit.say_in?.find((s) => s.lang === lang) ?? kit.say_in?.find((s) => s.text === kit.say);
  return { text: chosen?.text ?? kit.say, lang: chosen?.lang ?? "" };
}

/** How many tokens are earned: one for each correct answer, starting over after each exchange. */
export function tokensEarned(outcomes: (string | undefined)[], tokens: number): number {
  const right = outcomes.filter((o) => o === "correct").length;
  const left = right % tokens;
  return left === 0 && right > 0 && outcomes[outcomes.length - 1] === "correct" ? tokens : left;
}
