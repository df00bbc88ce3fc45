// A form that came back with messages: the list of them is read out first, wherever the page was scrolled to.

function focusIn(root: ParentNode): void {
  root.querySelector<HTMLElement>(".problems")?.focus();
}

/** Moves the focus to the list of problems, when the page or a swapped part of it brings one. */
export function focusProblems(): void {
  document.addEventListener("DOMContentLoaded", () => focusIn(document));
  document.addEventListener("htmx:after:settle", () => focusIn(document));
  if (document.readyState !== "loading") focusIn(document);
}
