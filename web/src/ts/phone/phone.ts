// The script of a caregiver's phone. Written for Chrome and WebView 80, Safari 14 and Firefox 78 and newer:
// the oldest with everything that the recorder requires.

import "./common";
import { Shell } from "./shell";
import { say } from "./words";

new Shell().start().catch(() => {
  const opening = document.querySelector("[data-opening]");
  if (opening) opening.textContent = say("phone.try_again");
});
