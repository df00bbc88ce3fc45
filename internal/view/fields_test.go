package view

import (
	"slices"
	"strings"
	"testing"

	"newel/internal/message"
	"newel/internal/program"
)

// ownLayout are the fields that the program's page shows with a layout of its
// own. TestProgramPageShowsEverything looks for their text.
var ownLayout = map[string]string{
	"draftfield.title": "over the page", "draftfield.skill_area": "over the page", "draftfield.purpose": "over the page",
	"draftfield.needs": "a skill", "draftfield.teaches": "a skill", "draftfield.prerequisites": "a list", "draftfield.materials": "a list",
	"draftfield.cautions": "a warning", "draftfield.stop_rule": "a warning", "draftfield.say_in": "beside the words",
	"draftfield.help_levels": "with marks", "draftfield.if_right": "with a mark", "draftfield.if_not_yet": "with a mark",
	"draftfield.if_says_no": "with a mark", "draftfield.difficulties": "a list", "draftfield.checklist": "a list",
	"rolefield.role": "a heading", "rolefield.actions": "under the heading", "rolefield.opens": "beside the heading",
	"stepfield.label": "the step's row", "stepfield.name": "the step's row", "stepfield.say_in": "beside the words",
}

// Every field has a label in every catalogue, is asked for by the editor and is
// shown by the program's page.
func TestEveryFieldIsLabeledAskedForAndShown(t *testing.T) {
	t.Parallel()
	all, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	d := program.Blank("A title")
	key := map[program.Owner]string{program.OfRole: d.Strands[0].Key, program.OfStep: d.Strands[0].Steps[0].Key}
	pane := map[program.Owner]string{program.OfProgram: ProgramPane, program.OfRole: RolePane, program.OfStep: StepPane}
	sections := []program.Section{program.Facts, program.How, program.After, program.Learned, program.Trial, program.Session, program.Targets, program.MovingOn}
	for _, of := range program.Owners {
		m := DraftPage{T: inEnglish(t), Pane: pane[of], Key: key[of], Sheet: d.Sheet(), Document: &d}
		page := render(t, Draft(m)).String()
		for _, f := range program.Fields(of) {
			for _, language := range all.Languages() {
				if !all.Printer(language).Has(f.LabelKey()) {
					t.Errorf("%s: no label in %s", f.LabelKey(), language)
				}
			}
			if f.Group == "" && f.Name != "criterion" {
				t.Errorf("%s: no group of the form has it", f.LabelKey())
			}
			if f.Name != "criterion" && !strings.Contains(page, `name="`+f.SheetName(key[of])+`"`) {
				t.Errorf("%s: the editor does not ask for it", f.LabelKey())
			}
			for _, value := range f.Choices {
				if !m.T.Has(f.ChoiceKey + value) {
					t.Errorf("%s: no word for %q", f.LabelKey(), value)
				}
			}
			if listed := slices.Contains(sections, f.Shown.Section); listed == (ownLayout[f.LabelKey()] != "") {
				t.Errorf("%s: in a section: %v, with its own layout: %q", f.LabelKey(), listed, ownLayout[f.LabelKey()])
			}
		}
	}
}
