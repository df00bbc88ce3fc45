// Prevents sending a form twice by a double click or an impatient second tap. The server already answers a
// repeated form token like the first; this only spares the reader the doubt.

const SENT = "data-sent";

function buttonsOf(form: HTMLFormElement): HTMLElement[] {
  return Array.from(form.querySelectorAll<HTMLElement>('button:not([type="button"]), input[type="submit"]'));
}

function markSent(form: HTMLFormElement): void {
  form.setAttribute(SENT, "");
  // aria-disabled rather than disabled: a disabled button would drop its own name and value from the form
  // data.
  buttonsOf(form).forEach((button) => button.setAttribute("aria-disabled", "true"));
}

/** Allows a form to be sent again. */
export function release(form: HTMLFormElement): void {
  form.removeAttribute(SENT);
  buttonsOf(form).forEach((button) => button.removeAttribute("aria-disabled"));
}

function onSubmit(event: SubmitEvent): void {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.method === "get") return;
  if (form.hasAttribute(SENT)) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  markSent(form);
}

/** Guards every form of the page that changes something. */
export function guardForms(): void {
  // In the capture phase, to stop the second submission before htmx sees it.
  document.addEventListener("submit", onSubmit, true);
  // A swap may leave the form on the page (a response with messages beside the fields).
  document.addEventListener("htmx:finally:request", () => {
    document.querySelectorAll<HTMLFormElement>(`form[${SENT}]`).forEach(release);
  });
  // After going back, the browser shows this page as it was left.
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) document.querySelectorAll<HTMLFormElement>(`form[${SENT}]`).forEach(release);
  });
}
