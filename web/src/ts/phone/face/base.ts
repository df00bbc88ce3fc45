// Everything that faces use from outside of this folder (common.ts says why it is one list).

import "../common";

export { allowSound, buzz, setSignals, signal } from "../buzz";
export { deviceTime, hasContent, inEffect } from "../document";
export { tokensEarned } from "../fits";
export { clockText, parseMeasured, parseTime } from "../measured";
export { answerMark, answerName, answersOf, placeOf, targetName } from "../answers";
export { whilePressed } from "../cover";
export { announce, dates, fill, mark, nameTarget, part, say } from "../words";
export { openDB } from "idb";
export { dayOnPhone } from "../day";
export { persisted } from "../install";
export { Keep } from "../keep";
export { addSealing, canSealNow, countBlocking, othersText, post, reportLock, sealedPending } from "../lock";
export { allSealed, notePhone, putSealed, removeSealed } from "../phonedb";
export { canSeal, keyOf, seal } from "../seal";
export { closeIfOverdue, confirmLetter, isStored, unsentIDs, unsentLetters } from "../send";
export { sha256 } from "../sha256";
export { stair } from "../stair";
export { bar } from "../bar";
export { instructionIn } from "../fits";
export { languageChips, namesOf, saidAloud, sayIn } from "../saychips";
export { alertText } from "../today";
export { dayText, shortTime } from "../words";
export { briefLines, item, materials } from "../brief";
