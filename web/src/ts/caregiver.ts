// Server-rendered caregiver pages (the invitation, consent, messages): the form guard, nothing else.

import { guardForms } from "./once";
import { focusProblems } from "./problems";

guardForms();
focusProblems();
