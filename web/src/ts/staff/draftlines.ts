// What somebody else has put into a field that is being written in: taken in line by line, under the fingers.

export type Control = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

/** A text without what the server does not keep: white space at its ends, and other ways to write one letter. */
export const tidy = (text: string): string => text.replace(/\r\n/g, "\n").trim().normalize("NFC");

/** What was typed since, in the lines that are stored now: those that came are there, those that went are not. */
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

/** Puts a text into a field; who writes in it goes on where they were. */
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
