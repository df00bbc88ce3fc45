// Staff pages: swaps by htmx, and small enhancements. Every page works without this file. htmx reads its
// settings from the page's meta element (includeIndicatorCSS is off: no style from script).

import "htmx.org";
import { editDraft } from "./draft";
import { workLadder } from "./draftkeys";
import { guardForms } from "../shared/once";
import { followPage } from "../shared/live";
import { focusProblems } from "../shared/problems";
import { unfoldSteps } from "./steps";
import { toolbars } from "./toolbar";

guardForms();
focusProblems();
toolbars();
followPage();
editDraft();
workLadder();
unfoldSteps();
