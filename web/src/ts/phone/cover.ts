// Press and hold: the card that only one player may see, and the cover against small hands.

const LONG_PRESS = 800; // ms; longer than an accidental touch

/** Shows something only while a button is pressed, by finger or by key. */
export function whilePressed(button: HTMLElement, show: (pressed: boolean) => void): void {
  const on = (event: Event): void => {
    event.preventDefault(); // no menu, no selection
    show(true);
  };
  const off = (): void => show(false);
  let keyed = false; // a key is or was down: what it clicks is no press of its own
  button.addEventListener("pointerdown", on);
  ["pointerup", "pointercancel", "pointerleave", "blur"].forEach((kind) => button.addEventListener(kind, off));
  // A switch or a screen reader presses without holding: once for on, once more for off.
  let lasting = false;
  button.addEventListener("click", (event) => {
    if (event.detail === 0 && !keyed) show((lasting = !lasting));
    keyed = false;
  });
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    keyed = true;
    if (!event.repeat) on(event);
    else event.preventDefault();
  });
  button.addEventListener("keyup", () => {
    off();
    setTimeout(() => (keyed = false)); // after the click that a key may cause
  });
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
