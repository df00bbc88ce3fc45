// The decisions of a row are one stop of the Tab key, and the arrows move between them. Because that is what
// a toolbar does, the row only gets that role once this file has run: without it every decision is a stop of
// its own.

function items(bar: HTMLElement): HTMLElement[] {
  return [...bar.querySelectorAll<HTMLElement>("a[href], button")];
}

function stopAt(bar: HTMLElement, stop: HTMLElement): void {
  for (const item of items(bar)) item.tabIndex = item === stop ? 0 : -1;
}

function goes(key: string, at: number, count: number): number {
  switch (key) {
    case "ArrowDown":
    case "ArrowRight":
      return (at + 1) % count;
    case "ArrowUp":
    case "ArrowLeft":
      return (at - 1 + count) % count;
    case "Home":
      return 0;
    case "End":
      return count - 1;
  }
  return -1;
}

function make(bar: HTMLElement): void {
  const list = items(bar);
  const first = list[0];
  if (list.length < 2 || !first) return;
  bar.setAttribute("role", "toolbar");
  bar.setAttribute("aria-orientation", "vertical");
  stopAt(bar, first);
  bar.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const now = items(bar);
    const to = now[goes(event.key, now.indexOf(document.activeElement as HTMLElement), now.length)];
    if (!to) return;
    event.preventDefault();
    stopAt(bar, to);
    to.focus();
  });
  bar.addEventListener("focusin", (event) => stopAt(bar, event.target as HTMLElement));
}

// Makes a toolbar of the decisions of every row.
export function toolbars(): void {
  for (const bar of document.querySelectorAll<HTMLElement>(".row .acts")) make(bar);
}
