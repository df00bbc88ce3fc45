// The steps of a program are folded, a line for each. Whoever comes for one of them finds it unfolded, and paper has no
// folds. Without this file one unfolds them all by a link.

const LINES = "details.stepline";

function unfoldNamed(): void {
  const named = location.hash === "" ? null : document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (named instanceof HTMLDetailsElement) {
    named.open = true;
    named.scrollIntoView();
  }
}

/** Unfolds the step that the address names, and all of them for paper. */
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
