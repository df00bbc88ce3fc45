package say

import (
	"cmp"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/view"
)

// NumberText writes a number as it stands in a field: nothing for none.
func NumberText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// StateText names a version by its number, and the draft by 0.
func StateText(t *message.Printer, number int) string {
	if number == 0 {
		return t.Text("plainly.draft")
	}
	return t.Text("plainly.version", "n", number)
}

// ownOf says what of one step is written for the learner alone, as a sentence
// behind others; nothing if nothing is.
func ownOf(t *message.Printer, d *program.Document, own map[string]newel.StepOverride, key string) string {
	if what := OwnWhat(t, own[key]); what != "" && d.StepTitle(key) != "" {
		return " " + t.Text("read.own_one", "what", what)
	}
	return ""
}

// OwnWhat lists the parts of a step that a learner has of their own.
func OwnWhat(t *message.Printer, o newel.StepOverride) string {
	var parts []string
	for _, part := range []struct {
		field string
		is    bool
	}{{"say", o.Say != nil}, {"criterion", o.Criterion != nil}, {"step_back", o.StepBack != nil}, {"trials", o.Trials != nil}} {
		if part.is {
			parts = append(parts, t.Text("read.own_"+part.field))
		}
	}
	return t.List(parts)
}

// ownLines says of every step of a learner's program what is their own.
func ownLines(t *message.Printer, p app.LearnerProgram) []string {
	var lines []string
	for _, strand := range p.Strands {
		for _, step := range strand.Steps {
			if what := OwnWhat(t, p.Overrides[step.Key]); what != "" {
				lines = append(lines, t.Text("read.own_step", "step", strings.TrimSpace(strand.Role+" "+step.Label), "what", what))
			}
		}
	}
	return lines
}

// OwnPage is the form for what is one learner's own on a step; programs is the
// step as the program has it.
func OwnPage(t *message.Printer, p reading.Progress, programs *program.Step, form view.FormState, meanwhile string) view.OwnPage {
	m := view.OwnPage{
		T: t, Up: PlacementCrumbs(t, p), Form: form, After: form.Values.Get("after"), Meanwhile: meanwhile,
		Title: t.Text("own.title", "learner", p.Learner.Nickname), Lead: t.Text("own.lead", "learner", p.Learner.Nickname, "step", p.Version.Document.StepTitle(programs.Key)),
		Programs: map[string]string{"say": cmp.Or(programs.Say, p.Version.Document.Procedure.Say), "criterion": programs.Criterion, "step_back": programs.StepBack, "trials": NumberText(programs.Trials)},
	}
	return m
}
