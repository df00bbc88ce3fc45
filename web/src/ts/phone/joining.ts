// The page that links a phone. On a new phone it needs next to nothing. One that was used before loads the
// script of the other pages, which says what is still waiting on it.

import { guardForms } from "../shared/once";
import { focusProblems } from "../shared/problems";
import { databaseExists } from "./exists";

async function start(): Promise<void> {
  const more = document.body.dataset.more;
  if (!more || !(await databaseExists("newel-phone"))) {
    guardForms();
    focusProblems();
    return;
  }
  const script = document.createElement("script");
  script.type = "module";
  script.src = more;
  document.head.append(script);
}

void start();
