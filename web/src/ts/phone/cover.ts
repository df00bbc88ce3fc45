// What is held with a finger: the card that only one player may see, and the cover against small hands.

const HOLD = 800; // ms; longer than an accidental touch

/** Shows something only while it is held, by finger or by key. */
export function whileHeld(button: HTMLElement, show: (held: boolean) => void): void {
  const on = (event: Event): void => {
    event.preventDefault(); // no menu, no selection
    show(true);
  };
  const off = (): void => show(false);
  button.addEventListener("pointerdown", on);
  ["pointerup", "pointercancel", "pointerleave", "blur"].forEach((kind) => button.addEventListener(kind, off));
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("keydown", (event) => {
    if (event.key === " " || event.key === "Enter") on(event);
  });
  button.addEventListener("keyup", off);
}

/** Calls fn when a button has been held long enough. */
export function afterHold(button: HTMLElement, fn: () => void): void {
  let timer: number | undefined;
  whileHeld(button, (held) => {
    clearTimeout(timer);
    button.classList.toggle("holding", held);
    if (held) timer = window.setTimeout(fn, HOLD);
  });
}
