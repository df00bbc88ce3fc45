// A caregiver's pages: the form guard, the outbox on every page, and the recorder on the page that has one.

import { guardForms } from "./once";
import { startFaces } from "./faces";
import { startOutbox } from "./outbox";
import { focusProblems } from "./problems";
import { startRecorder } from "./recorder";

guardForms();
focusProblems();
startFaces();
void startOutbox().then((outbox) => (outbox ? startRecorder(outbox) : undefined));
