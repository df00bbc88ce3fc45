// Everything that faces use from outside of this folder. One list for all of them, so that the bundler puts it into
// the one file that phone.js loads in any case.

export { allowSound, buzz, signal } from "../buzz";
export { deviceTime, hasContent, inEffect } from "../document";
export { tokensEarned } from "../fits";
export { clockText, parseMeasured, parseTime } from "../measured";
export { answerMark, answerName, answersOf, placeOf, targetName } from "../answers";
export { whilePressed } from "../cover";
export { announce, dates, fill, mark, minutesAndSeconds, nameTarget, part, say } from "../words";
