// The list of steps by pointer. Keys (see draftkeys) and buttons do the same without this file.

/** Presses a button that is not on the page. */
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

function dragging(form: HTMLFormElement, list: HTMLElement): void {
  let held: HTMLElement | null = null;
  const rowOf = (e: Event): HTMLElement | null => (e.target instanceof Element ? e.target.closest<HTMLElement>("li[data-step]") : null);
  const clear = (): void => list.querySelectorAll(".over, .held").forEach((e) => e.classList.remove("over", "held"));
  list.addEventListener("pointerdown", (e) => rowOf(e)?.setAttribute("draggable", "true"));
  list.addEventListener("dragstart", (e) => {
    held = rowOf(e);
    held?.classList.add("held");
    e.dataTransfer?.setData("text/plain", held?.dataset["step"] ?? "");
  });
  list.addEventListener("dragover", (e) => {
    const over = rowOf(e);
    if (!held || !over) return;
    e.preventDefault();
    list.querySelectorAll(".over").forEach((x) => x.classList.remove("over"));
    if (over !== held) over.classList.add("over");
  });
  list.addEventListener("dragend", () => {
    held = null;
    clear();
  });
  list.addEventListener("drop", (e) => {
    const over = rowOf(e);
    if (!held || !over || over === held) return;
    e.preventDefault();
    // It goes before the row that it is dropped on; what stands before that row is told to the server.
    let before = over.previousElementSibling;
    if (before === held) before = before.previousElementSibling;
    const after = before instanceof HTMLElement ? (before.dataset["step"] ?? "") : "";
    const strand = over.closest<HTMLElement>("ol[data-strand]")?.dataset["strand"] ?? "";
    press(form, `place:${held.dataset["step"] ?? ""}:${strand}:${after}`);
  });
}

/** Makes the list of steps answer to dragging. */
export function workList(form: HTMLFormElement): void {
  const list = document.getElementById("steplist");
  if (list) dragging(form, list);
}
