package httpd

import (
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/program"
)

// Where each editor button goes, with the focus in the field to continue in.
func TestEditorButtonsFocusTheNextField(t *testing.T) {
	t.Parallel()
	program := func() program.Document {
		step := func(key, label, name string) program.Step { return program.Step{Key: key, Label: label, Name: name} }
		return program.Document{Strands: []program.Strand{
			{Key: "find", Role: program.ActivityRole{Name: "Finder"}, Steps: []program.Step{step("f1", "U1", "two cups"), step("f2", "U2", "three cups")}},
			{Key: "hide", Role: program.ActivityRole{Name: "Hider"}, Steps: []program.Step{step("h1", "", "")}},
		}}
	}
	for _, c := range []struct {
		name, do string
		steps    int    // number of steps afterwards
		goOn     string // with NEW for the key of an added item
	}{
		{"the next step, in the same field", "next:f1:done_when", 3, "?step=f2#f-steps.f2.done_when"},
		{"the next step", "next:f1", 3, "?step=f2#f-steps.f2.name"},
		{"an invalid field", `next:f1:"><b>`, 3, "?step=f2#f-steps.f2.name"},
		{"a new one below the last", "next:f2:name", 4, "?step=NEW#f-steps.NEW.name"},
		{"no second empty one", "next:h1:name", 3, "?step=h1#f-steps.h1.label"},
		{"a deleted step", "next:x1:name", 3, "#pane"},
		{"one more in between", "add:find:f1", 4, "?step=NEW#f-steps.NEW.label"},
		{"a row by click", "go:f2", 3, "?step=f2#pane"},
		{"a row from the keyboard", "go:f2:write", 3, "?step=f2#f-steps.f2.name"},
		{"a role from the keyboard", "go-role:hide:write", 3, "?role=hide#f-strands.hide.role"},
		{"the program from the keyboard", "go-program:write", 3, "#f-title"},
		{"moved", "down:f1", 3, "?step=f1#pane"},
		{"moved in the list", "down:f1:list", 3, "?step=f1"},
		{"the other role with its steps", "copy-role:find", 5, "?role=NEW#f-strands.NEW.actions"},
		{"the roles together", "join-roles", 4, "?role=NEW#f-strands.NEW.role"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d, old := program(), map[string]bool{"find": true, "hide": true, "f1": true, "f2": true, "h1": true}
			goOn, _ := draftEdit(c.do, "", url.Values{"copy_as": {"Giver"}}).Do(&d)
			steps, want := 0, c.goOn
			for _, s := range d.Strands {
				steps += len(s.Steps)
				if !old[s.Key] {
					want = strings.ReplaceAll(want, "NEW", s.Key)
				}
				for _, step := range s.Steps {
					if old[s.Key] && !old[step.Key] {
						want = strings.ReplaceAll(want, "NEW", step.Key)
					}
				}
			}
			if steps != c.steps || goOn != want {
				t.Errorf("%d steps, goes to %s; want %d and %s", steps, goOn, c.steps, want)
			}
		})
	}
}

func TestNextLabelIsSuggested(t *testing.T) {
	t.Parallel()
	for label, want := range map[string]string{"U1": "U2", "B9": "B10", "7": "8", "B5a": "", "": "", "U": "", "U99999999999999999999": ""} {
		if got := program.NextLabel(label); got != want {
			t.Errorf("after %q: %q, want %q", label, got, want)
		}
	}
}

// Browsers send nothing for an unchecked box; the hidden field next to it says
// that the form had one.
func TestAnUntickedBoxIsRead(t *testing.T) {
	t.Parallel()
	got := sheetOf(url.Values{
		"box.steps.k2.coping": {""}, "steps.k2.coping": {"yes"}, "box.steps.k2.food_reward": {""}, "steps.k2.name": {"waits"}, "rev": {"3"},
	}).Fields
	want := map[string]string{"steps.k2.coping": "yes", "steps.k2.food_reward": "", "steps.k2.name": "waits"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
