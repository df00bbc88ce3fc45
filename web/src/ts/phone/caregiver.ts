// Pages that the server renders for a caregiver, or for someone not signed in yet: progress, a review,
// signing in.

import { followPage } from "../shared/live";
import { guardForms } from "../shared/once";
import { focusProblems } from "../shared/problems";
import { sayWaits } from "./waits";

guardForms();
focusProblems();
followPage();
void sayWaits();
