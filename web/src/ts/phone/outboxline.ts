// Shows what is still to be sent from this phone on pages rendered by the server. A caregiver's own pages also send it; if no
// one is signed in, it is only counted. Says nothing about whom or what it concerns.

import { databaseOf, Keep } from "./keep";
import { sealedPending } from "./lock";
import { Outbox } from "./outbox";
import { readPhone } from "./phonedb";
import { say } from "./words";

/** Whether there is such a database, without creating one. */
function databaseExists(name: string): Promise<boolean> {
  return new Promise((done) => {
    try {
      const request = indexedDB.open(name);
      request.onupgradeneeded = () => request.transaction!.abort();
      request.onerror = () => done(false);
      request.onsuccess = () => {
        request.result.close();
        done(true);
      };
    } catch {
      done(false); // a browser that stores nothing
    }
  });
}

/** Shows what is still to be sent, if a phone's pages were ever used in this browser. */
export async function showPending(): Promise<void> {
  const line = document.getElementById("outbox");
  if (!line || !(await databaseExists("newel-phone"))) return;
  const phone = await readPhone();
  if (phone.current && !phone.locked && (await databaseExists(databaseOf(phone.current)))) {
    const keep = new Keep(phone.current);
    await keep.ready();
    const outbox = new Outbox(keep);
    if (document.body.classList.contains("caregiver")) outbox.start();
    else await outbox.show();
    return;
  }
  const n = await sealedPending();
  line.hidden = n === 0;
  line.textContent = say("phone.others_wait", { n });
}
