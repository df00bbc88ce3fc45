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

// NumberText formats a number for a field; 0 is "".
func NumberText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// StateText names a version by its number; 0 is the draft.
func StateText(t *message.Printer, number int) string {
	if number == 0 {
		return t.Text("plainly.draft")
	}
	return t.Text("plainly.version", "n", number)
}

// ownOf returns a sentence about what is individualized on one step, to follow
// other sentences, or "" if nothing is.
func ownOf(t *message.Printer, d *program.Document, own map[string]newel.StepOverride, key string) string {
	if what := OwnWhat(t, own[key]); what != "" && d.StepTitle(key) != "" {
		return " " + t.Text("read.own_one", "what", what)
	}
	return ""
}

// OwnWhat lists the individualized parts of a step.
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

// ownLines lists the individualized parts of each step in a learner's program.
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

// OwnPage returns the form for changes to a step for one learner; programs is
// the step as in the program.
func OwnPage(t *message.Printer, p reading.Progress, programs *program.Step, form view.FormState, meanwhile string) view.OwnPage {
	m := view.OwnPage{
		T: t, Up: PlacementCrumbs(t, p), Form: form, After: form.Values.Get("after"), Meanwhile: meanwhile,
		Title: t.Text("own.title", "learner", p.Learner.Nickname), Lead: t.Text("own.lead", "learner", p.Learner.Nickname, "step", p.Version.Document.StepTitle(programs.Key)),
		Programs: map[string]string{"say": cmp.Or(programs.Say, p.Version.Document.Procedure.Say), "criterion": programs.Criterion, "step_back": programs.StepBack, "trials": NumberText(programs.Trials)},
	}
	return m
}
