// Merges another person's changes line by line into a field that is being edited.

export type Control = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

/** A text as the server stores it: without surrounding white space, and with composed letters. */
export const tidy = (text: string): string => text.replace(/\r\n/g, "\n").trim().normalize("NFC");

/**
 * Applies what was typed since to the lines that are stored now: added lines are there, removed lines are
 * not.
 */
export function inLines(sent: string, now: string, stored: string): string {
  const was = sent.split("\n").map(tidy);
  const is = stored.split("\n").map(tidy);
  const out = now.split("\n").filter((line) => is.includes(tidy(line)) || !was.includes(tidy(line)));
  let at = 0;
  for (const line of is) {
    const found = out.findIndex((mine) => tidy(mine) === line);
    if (found >= 0) at = found + 1;
    else if (!was.includes(line)) out.splice(at++, 0, line);
  }
  return out.join("\n");
}

/** Sets a field's text and preserves the cursor if the field has the focus. */
export function put(control: Control, text: string): void {
  if (control instanceof HTMLInputElement && control.type === "checkbox") {
    control.checked = text !== "";
    return;
  }
  if (control.value === text) return;
  if (control instanceof HTMLSelectElement || control !== document.activeElement) {
    control.value = text;
    return;
  }
  const caret = control.selectionEnd ?? control.value.length;
  const behind = control.value.slice(caret);
  const same = text.startsWith(control.value.slice(0, caret));
  control.value = text;
  const at = same ? caret : text.endsWith(behind) ? text.length - behind.length : Math.min(caret, text.length);
  control.setSelectionRange(at, at);
}
