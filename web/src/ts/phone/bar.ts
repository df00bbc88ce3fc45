import { part } from "./words";

/** The head of an inner page. */
export function bar(title: string, more?: string): DocumentFragment {
  return part("t-bar", { t: { title }, if: { more: more !== undefined, plain: more === undefined }, href: { more: more ?? "" } });
}
