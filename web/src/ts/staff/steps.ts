// The steps of a program are folded, one line each, and so is what a sentence about progress is based on. A
// link to one of them unfolds it, and printing unfolds all. Without this file a link unfolds them all.

const LINES = "details.stepline, details.finding";

function unfoldNamed(): void {
  const named = location.hash === "" ? null : document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (named instanceof HTMLDetailsElement) {
    named.open = true;
    named.scrollIntoView();
  }
}

/** Unfolds the line in the address, and all lines for printing. */
export function unfoldSteps(): void {
  const lines = [...document.querySelectorAll<HTMLDetailsElement>(LINES)];
  if (lines.length === 0) return;
  unfoldNamed();
  window.addEventListener("hashchange", unfoldNamed);
  let folded: HTMLDetailsElement[] = [];
  window.addEventListener("beforeprint", () => {
    folded = lines.filter((line) => !line.open);
    for (const line of folded) line.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const line of folded) line.open = false;
  });
}
