// Press and hold: the card that only one player may see, and the cover against small hands.

const LONG_PRESS = 800; // ms; longer than an accidental touch

/** Shows something only while a button is pressed, by finger or by key. */
export function whilePressed(button: HTMLElement, show: (pressed: boolean) => void): void {
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

/** Calls fn when a button has been pressed long enough. */
export function afterLongPress(button: HTMLElement, fn: () => void): void {
  let timer: number | undefined;
  whilePressed(button, (pressed) => {
    clearTimeout(timer);
    button.classList.toggle("holding", pressed);
    if (pressed) timer = window.setTimeout(fn, LONG_PRESS);
  });
}
