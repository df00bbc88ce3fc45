package say

import (
	"slices"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/view"
)

// MeanwhileText says who has decided in the meantime, and what.
func MeanwhileText(t *message.Printer, e *app.DecidedMeanwhile, zone *time.Location) string {
	d := e.Decision
	args := []any{"who", whoDecided(t, d), "day", newel.DayOf(d.DecidedAt, zone), "kind", t.Text("decision." + string(d.Kind)), "step", e.StepTitle}
	if e.StepTitle != "" {
		return t.Text("decide.meanwhile_to", args...)
	}
	return t.Text("decide.meanwhile", args...)
}

// whoDecided names the person or rule that decided.
func whoDecided(t *message.Printer, d newel.DecisionRow) string {
	if d.ByRule {
		return t.Text("rule.by", "who", d.DecidedByName)
	}
	return d.DecidedByName
}

// TellProblems adds the problems of a decision to its fields.
func TellProblems(m *view.ProgressPage, problems map[string]string) {
	if m.Stop != nil && m.Stop.Form != nil {
		m.Stop.Form.Agreed.Error, m.Stop.Form.On.Error = problems["agreed"], problems["agreed_on"]
	}
	if m.Form == nil {
		return
	}
	m.Form.Kind.Error, m.Form.To.Error, m.Form.Reason.Error = problems["kind"], problems["to"], problems["reason"]
	m.Form.ForFamily.Error = problems["for_family"]
	m.Form.Expected.Error, m.Form.By.Error = problems["expected"], problems["expected_by"]
	if problems["form"] != "" {
		m.Form.Kind.Error = problems["form"]
	}
}

// PageActs returns the decisions that need one click; the others need a reason.
func PageActs(t *message.Printer, p reading.Progress) []view.Act {
	seen := view.Act{Glyph: view.GlyphSeen, Label: t.Text("decide.seen"), Name: "kind", Value: string(newel.DecisionSeen)}
	other := view.Act{Glyph: view.GlyphRevise, Label: t.Text("decide.other"), Href: "#decide"}
	switch {
	case p.Assignment.State == newel.AssignmentResting:
		return []view.Act{{Glyph: view.GlyphHold, Label: t.Text("decide.lift"), Href: "#lift-form"}, seen, other}
	case p.Assignment.State == newel.AssignmentPaused:
		return []view.Act{{Glyph: view.GlyphHold, Label: t.Text("decide.resume"), Name: "kind", Value: string(newel.DecisionResume)}, other}
	case p.Said.Status == criterion.StatusMet && p.Assignment.State == newel.AssignmentActive:
		var next *program.StepRow
		if step := p.Version.Document.Following(p.Step.Key); step != nil {
			next = &program.StepRow{Label: step.Label}
		}
		advance := view.Act{Glyph: view.GlyphAdvance, Label: advanceLabel(t, next), Name: "kind", Value: string(newel.DecisionAdvance), Solid: !p.Row.NobodyNext}
		return []view.Act{advance, seen, other}
	}
	return append(helpActs(t, p.Said, p.Version.Document.HelpNames(), p.Placement.PlannedHelp), seen, other)
}

// DecideForm returns the form for a decision about a placement, as it was
// typed.
func DecideForm(t *message.Printer, p reading.Progress, in app.DecisionInput) *view.DecideForm {
	f := &view.DecideForm{
		Action: href.PlacementDecide.To(p.Placement.ID), Token: NewToken(), After: p.Latest(),
		Kind:      view.Field{T: t, Name: "kind", Label: t.Text("decide.kind"), Value: string(in.Kind), Required: true},
		To:        view.Field{T: t, Name: "to", Label: t.Text("decide.to"), Value: in.To, Hint: t.Text("decide.to_hint")},
		Reason:    view.Field{T: t, Name: "reason", Label: t.Text("decide.reason"), Value: in.Reason, Hint: t.Text("decide.reason_hint")},
		ForFamily: view.Field{T: t, Name: "for_family", Label: t.Text("decide.for_family"), Value: in.ForFamily, Hint: t.Text("decide.for_family.hint")},
		Expected:  view.Field{T: t, Name: "expected", Label: t.Text("decide.expected"), Value: in.Expected, Hint: t.Text("decide.expected_hint")},
		By:        view.Field{T: t, Name: "expected_by", Label: t.Text("decide.look_again"), Hint: t.Text("decide.look_again_hint"), Value: in.ExpectedBy},
	}
	kinds := []newel.DecisionKind{newel.DecisionAdvance, newel.DecisionStepBack, newel.DecisionHold, newel.DecisionPause, newel.DecisionFinish, newel.DecisionSeen, newel.DecisionRevise}
	for _, k := range []newel.DecisionKind{newel.DecisionLessHelp, newel.DecisionMoreHelp} {
		if _, is := program.HelpLevelAt(p.Version.Document.HelpNames(), p.Placement.PlannedHelp, k.HelpStep()); is {
			kinds = append(kinds, k)
		}
	}
	switch p.Assignment.State {
	case newel.AssignmentPaused:
		kinds[3] = newel.DecisionResume
	case newel.AssignmentResting: // paused as it is, and only lifted by its own form
		kinds = slices.Delete(kinds, 3, 4)
	}
	f.Own = view.Link{Label: t.Text("decide.own"), Href: href.PlacementOwn.To(p.Placement.ID)}
	f.Branch = view.Link{Label: t.Text("decide.branch"), Href: href.PlacementBranch.To(p.Placement.ID)}
	f.Ask = view.Link{Label: t.Text("decide.ask"), Href: href.PlacementAsk.To(p.Placement.ID)}
	f.Notes = decideNotes(t, p)
	if f.Reason.Value == "" {
		f.Reason.Value = quoted(t, p)
	}
	earlier := p.Earlier()
	for _, k := range kinds {
		if k != newel.DecisionStepBack || len(earlier) > 0 {
			f.Kind.Options = append(f.Kind.Options, view.Option{Value: string(k), Label: helpChoice(t, p, k, t.Text("decide."+string(k)))})
		}
	}
	for i := len(earlier) - 1; i >= 0; i-- { // the previous step is the most likely choice
		f.To.Options = append(f.To.Options, view.Option{Value: earlier[i].Key, Label: earlier[i].Label + ", " + earlier[i].Name})
	}
	return f
}

// quoted copies the family's answers into the reason, so that they stay with
// the decision.
func quoted(t *message.Printer, p reading.Progress) string {
	var lines []string
	for _, q := range p.Answered() {
		lines = append(lines, t.Text("question.quoted", "who", q.AnsweredByName, "answer", q.Answer))
	}
	return strings.Join(lines, "\n")
}

// nobodyNext says that no one in the family may start the next step yet; empty if
// someone may.
func nobodyNext(t *message.Printer, row newel.CaseloadRow, next *program.Step) string {
	if !row.NobodyNext || next == nil {
		return ""
	}
	return t.Text("nobody.next", "step", next.Label)
}

// decideNotes returns what a person who decides needs to know besides the
// graph.
func decideNotes(t *message.Printer, p reading.Progress) []string {
	var notes []string
	if p.Assignment.State == newel.AssignmentResting {
		notes = append(notes, t.Text("stop.decide_note"))
	}
	if l := p.Row.Late; l != nil && reading.LateOpen(p.Row) {
		notes = append(notes, lateText(t, p.Row))
	} else if l != nil {
		notes = append(notes, t.Text("late.same", "n", len(l.Sessions)))
	}
	if note := nobodyNext(t, p.Row, p.Version.Document.Following(p.Step.Key)); note != "" {
		notes = append(notes, note)
	}
	if p.Row.Quarantined > 0 {
		notes = append(notes, t.Text("late.held", "n", p.Row.Quarantined))
	}
	if reading.Revised(p.Row) {
		notes = append(notes, t.Text("reason.revised", "n", p.Row.Newest, "old", p.Row.Number))
	}
	return notes
}
