// A caregiver's pages that the server renders: progress, signing out.

import { guardForms } from "./once";
import { focusProblems } from "./problems";

guardForms();
focusProblems();
