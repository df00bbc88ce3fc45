// Everything that faces use from outside of this folder (common.ts says why it is one list).

import "../common";

export { allowSound, buzz, signal } from "../buzz";
export { deviceTime, hasContent, inEffect } from "../document";
export { tokensEarned } from "../fits";
export { clockText, parseMeasured, parseTime } from "../measured";
export { answerMark, answerName, answersOf, placeOf, targetName } from "../answers";
export { whilePressed } from "../cover";
export { announce, dates, fill, mark, minutesAndSeconds, nameTarget, part, say } from "../words";
export { openDB } from "idb";
export { dayOnPhone } from "../day";
export { persisted } from "../install";
export { Keep } from "../keep";
export { addSealing, canSealNow, countBlocking, othersText, post, reportLock, sealedPending } from "../lock";
export { allSealed, notePhone } from "../phonedb";
export { canSeal, opened, seal } from "../seal";
export { closeIfOverdue, isStored, unsentIDs, unsentLetters } from "../send";
export { bar } from "../teach";
export { shortTime } from "../words";
