// Pages that the server renders for a caregiver, or for somebody who is nobody yet: progress, signing in.

import { guardForms } from "./once";
import { focusProblems } from "./problems";
import { sayWaits } from "./waits";

guardForms();
focusProblems();
void sayWaits();
