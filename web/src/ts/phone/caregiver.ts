// Pages that the server renders for a caregiver, or for somebody who is nobody yet: progress, a review, signing in.

import { followPage } from "../shared/live";
import { guardForms } from "../shared/once";
import { focusProblems } from "../shared/problems";
import { sayWaits } from "./waits";

guardForms();
focusProblems();
followPage();
void sayWaits();
