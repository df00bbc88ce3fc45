// What waits on this phone, said on the pages that the server renders. On a caregiver's own pages it is sent from there
// too; where nobody is signed in it is only counted. Nothing of whom or what it is about.

import { databaseOf, Keep } from "./keep";
import { sealedWaiting } from "./lock";
import { Outbox } from "./outbox";
import { readPhone } from "./phonedb";
import { say } from "./words";

/** Whether there is such a database; asking makes none. */
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
      done(false); // a browser that keeps nothing
    }
  });
}

/** Says what waits here, if a phone's pages were ever used in this browser. */
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
