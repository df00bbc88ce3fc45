// Pages that the server renders for a caregiver, or for somebody who is nobody yet: progress, a review, signing in.

import { followPage } from "./live";
import { guardForms } from "./once";
import { focusProblems } from "./problems";
import { sayWaits } from "./waits";

guardForms();
focusProblems();
followPage();
void sayWaits();
