// Sending a form twice by a double click or an impatient second tap. The server already answers the second
// sending of the same form token like the first; this only spares the reader the doubt.

const SENT = "data-sent";

function buttonsOf(form: HTMLFormElement): HTMLElement[] {
  return Array.from(form.querySelectorAll<HTMLElement>('button:not([type="button"]), input[type="submit"]'));
}

function hold(form: HTMLFormElement): void {
  form.setAttribute(SENT, "");
  // aria-disabled and not disabled: a disabled button would take its own name and value out of what is sent.
  buttonsOf(form).forEach((button) => button.setAttribute("aria-disabled", "true"));
}

/** Makes a form ready to be sent again. */
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
  hold(form);
}

/** Guards every form of the page that changes something. */
export function guardForms(): void {
  // In the capture phase, so that the second sending is stopped before htmx sees it.
  document.addEventListener("submit", onSubmit, true);
  // A swap may leave the form on the page (an answer with messages beside the fields).
  document.addEventListener("htmx:finally:request", () => {
    document.querySelectorAll<HTMLFormElement>(`form[${SENT}]`).forEach(release);
  });
  // Back from the next page: the browser shows this one as it was left.
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) document.querySelectorAll<HTMLFormElement>(`form[${SENT}]`).forEach(release);
  });
}
