// The list of steps with a pointer. Keys (see draftkeys) and buttons do the same without this file.

/** Submits the form as if by a button that is not on the page. */
export function press(form: HTMLFormElement, what: string): void {
  const button = document.createElement("button");
  button.type = "submit";
  button.name = "do";
  button.value = what;
  button.hidden = true;
  form.append(button);
  button.click();
  button.remove();
}

const FAR = 6; // px that a row must be pulled before it is dragged: less is a click
const EDGE = 28; // px from an end of the list within which it scrolls

/**
 * Drags with a mouse or a pen. Uses pointer events because Firefox does not start native dragging on a
 * button. A finger scrolls the list and has the buttons beside it instead.
 */
function dragging(form: HTMLFormElement, list: HTMLElement): void {
  let down: { row: HTMLElement; y: number } | null = null;
  let dragged: HTMLElement | null = null;
  let over: HTMLElement | null = null;
  const rowAt = (at: EventTarget | null): HTMLElement | null => (at instanceof Element && list.contains(at) ? at.closest<HTMLElement>("li[data-step]") : null);
  const mark = (row: HTMLElement | null): void => {
    over?.classList.remove("over");
    over = row;
    if (over !== dragged) over?.classList.add("over");
  };
  const letGo = (): void => {
    mark(null);
    dragged?.classList.remove("dragged");
    list.classList.remove("dragging");
    down = dragged = null;
  };
  list.addEventListener("dragstart", (e) => e.preventDefault());
  list.addEventListener("pointerdown", (e) => {
    const row = rowAt(e.target);
    if (row && e.button === 0 && e.pointerType !== "touch") down = { row, y: e.clientY };
  });
  window.addEventListener("pointermove", (e) => {
    if (!down) return;
    const at = rowAt(document.elementFromPoint(e.clientX, e.clientY)); // may change when the page scrolls under the pointer
    if (!dragged && at === down.row && Math.abs(e.clientY - down.y) < FAR) return;
    dragged = down.row;
    dragged.classList.add("dragged");
    list.classList.add("dragging");
    const box = list.getBoundingClientRect();
    if (e.clientY < box.top + EDGE) list.scrollTop -= EDGE / 2;
    if (e.clientY > box.bottom - EDGE) list.scrollTop += EDGE / 2;
    mark(at);
  });
  window.addEventListener("pointercancel", letGo);
  window.addEventListener("keydown", (e) => e.key === "Escape" && letGo());
  window.addEventListener("pointerup", () => {
    const [row, on] = [dragged, over];
    letGo();
    if (!row) return;
    // A drop on the same row is not a click.
    const still = (e: Event): void => (e.preventDefault(), e.stopPropagation());
    list.addEventListener("click", still, { capture: true, once: true });
    setTimeout(() => list.removeEventListener("click", still, { capture: true }));
    if (on && on !== row) drop(form, row, on);
  });
}

/** Moves a row before the one it is dropped on, by telling the server which row precedes that one. */
function drop(form: HTMLFormElement, dragged: HTMLElement, over: HTMLElement): void {
  let before = over.previousElementSibling;
  if (before === dragged) before = before.previousElementSibling;
  const after = before instanceof HTMLElement ? (before.dataset["step"] ?? "") : "";
  const strand = over.closest<HTMLElement>("ol[data-strand]")?.dataset["strand"] ?? "";
  press(form, `place:${dragged.dataset["step"] ?? ""}:${strand}:${after}`);
}

/** Enables dragging in the list of steps. */
export function workList(form: HTMLFormElement): void {
  const list = document.getElementById("steplist");
  if (list) dragging(form, list);
}
