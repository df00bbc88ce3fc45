// Pages that the server renders for a caregiver, or for someone not signed in yet: progress, a review,
// signing in.

import { followPage } from "../shared/live";
import { guardForms } from "../shared/once";
import { focusProblems } from "../shared/problems";
import { showPending } from "./outboxline";

guardForms();
focusProblems();
followPage();
void showPending();
