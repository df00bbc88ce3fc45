// The list of steps by keyboard and pointer. The buttons do the same without this file.

const FOCUS = "newel-draft-row";

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

const isText = (e: EventTarget | null): boolean => e instanceof HTMLElement && e.matches("input, textarea, select");

function onKey(form: HTMLFormElement, event: KeyboardEvent): void {
  if ((event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "z" && !isText(event.target)) {
    const wanted = form.querySelector<HTMLButtonElement>(`button[value="${event.shiftKey ? "redo" : "undo"}"]`);
    if (!wanted) return;
    event.preventDefault();
    wanted.click();
    return;
  }
  if (!event.altKey || event.ctrlKey || (event.key !== "ArrowUp" && event.key !== "ArrowDown")) return;
  const row = event.target instanceof Element ? event.target.closest<HTMLElement>("li[data-step]") : null;
  const open = new URLSearchParams(form.dataset["pane"] ?? "").get("step");
  const key = row?.dataset["step"] ?? (isText(event.target) ? null : open);
  if (!key) return;
  event.preventDefault();
  if (row) remember(key);
  press(form, `${event.key === "ArrowUp" ? "up" : "down"}:${key}`);
}

function remember(key: string): void {
  try {
    sessionStorage.setItem(FOCUS, key);
  } catch {
    // The focus then stands where the page begins.
  }
}

/** After a row was moved, the focus is on it again. */
function focusRow(): void {
  let key: string | null = null;
  try {
    key = sessionStorage.getItem(FOCUS);
    sessionStorage.removeItem(FOCUS);
  } catch {
    return;
  }
  if (key) document.querySelector<HTMLElement>(`li[data-step="${key}"] button`)?.focus();
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

/** Makes the list of steps answer to keys and to dragging. */
export function workList(form: HTMLFormElement): void {
  document.addEventListener("keydown", (e) => onKey(form, e));
  const list = document.getElementById("steplist");
  if (list) dragging(form, list);
  focusRow();
}
