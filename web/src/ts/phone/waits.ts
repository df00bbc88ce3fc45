// Shows what waits on this phone on pages rendered by the server. A caregiver's own pages also send it; if no
// one is signed in, it is only counted. Says nothing about whom or what it concerns.

import { databaseOf, Keep } from "./keep";
import { sealedWaiting } from "./lock";
import { Outbox } from "./outbox";
import { readPhone } from "./phonedb";
import { say } from "./words";

/** Whether there is such a database, without creating one. */
function there(name: string): Promise<boolean> {
  return new Promise((done) => {
    try {
      const asking = indexedDB.open(name);
      asking.onupgradeneeded = () => asking.transaction!.abort();
      asking.onerror = () => done(false);
      asking.onsuccess = () => {
        asking.result.close();
        done(true);
      };
    } catch {
      done(false); // a browser that stores nothing
    }
  });
}

/** Shows what waits here, if a phone's pages were ever used in this browser. */
export async function sayWaits(): Promise<void> {
  const line = document.getElementById("outbox");
  if (!line || !(await there("newel-phone"))) return;
  const phone = await readPhone();
  if (phone.current && !phone.locked && (await there(databaseOf(phone.current)))) {
    const keep = new Keep(phone.current);
    await keep.ready();
    const outbox = new Outbox(keep);
    if (document.body.classList.contains("caregiver")) outbox.start();
    else await outbox.show();
    return;
  }
  const n = await sealedWaiting();
  line.hidden = n === 0;
  line.textContent = say("phone.others_wait", { n });
}
