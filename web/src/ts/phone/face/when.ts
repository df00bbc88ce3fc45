// What shows only in some states of a face: data-when="running paused" shows an element only in these.

/** Shows what belongs to a state. */
export function showWhen(root: HTMLElement, state: string): void {
  root.querySelectorAll<HTMLElement>("[data-when]").forEach((e) => {
    const hidden = !(e.dataset.when ?? "").split(" ").includes(state);
    if (e.hidden !== hidden) e.hidden = hidden;
  });
}
