// When a form comes back with messages, screen readers read their list first, wherever the page was scrolled
// to.

function focusIn(root: ParentNode): void {
  root.querySelector<HTMLElement>(".problems")?.focus();
}

/** Moves the focus to the list of problems, if the page or a swapped part of it has one. */
export function focusProblems(): void {
  document.addEventListener("DOMContentLoaded", () => focusIn(document));
  document.addEventListener("htmx:after:settle", () => focusIn(document));
  if (document.readyState !== "loading") focusIn(document);
}
