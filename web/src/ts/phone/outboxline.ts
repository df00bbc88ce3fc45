// Shows what is still to be sent from this phone on pages rendered by the server. A caregiver's own pages also send it; if no
// one is signed in, it is only counted. Says nothing about whom or what it concerns.

import { databaseExists } from "./exists";
import { databaseOf, Keep } from "./keep";
import { othersText, sealedPending } from "./lock";
import { Outbox } from "./outbox";
import { isOffline, leavePage, Pages } from "./pages";
import { readPhone } from "./phonedb";

/** Whose pages this phone shows, if it shows any. */
async function owner(): Promise<string | undefined> {
  if (!(await databaseExists("newel-phone"))) return undefined;
  const phone = await readPhone();
  return phone.current && !phone.locked && (await databaseExists(databaseOf(phone.current))) ? phone.current : undefined;
}

/** Shows what is still to be sent, if a phone's pages were ever used in this browser, and starts the page. */
export async function showPending(): Promise<void> {
  const line = document.getElementById("outbox");
  if (!line) return;
  const account = await owner();
  if (account === undefined) {
    if (isOffline()) return leavePage(); // Today shows the lock, or what to do
    if (!(await databaseExists("newel-phone"))) return;
    line.textContent = othersText(await sealedPending());
    line.hidden = line.textContent === "";
    return;
  }
  const keep = new Keep(account);
  await keep.ready();
  const outbox = new Outbox(keep);
  if (!document.body.classList.contains("caregiver")) return outbox.show();
  await new Pages(keep, outbox).start();
  outbox.start();
}
