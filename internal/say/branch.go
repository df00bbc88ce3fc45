package say

import (
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/reading"
	"newel/internal/view"
)

// shownSmallerSteps is the number of smaller steps that the form shows at
// first.
const shownSmallerSteps = 3

// SmallerSteps reads the smaller steps from the form.
func SmallerSteps(values url.Values) []app.SmallerStep {
	steps := make([]app.SmallerStep, app.MaxSmallerSteps)
	for n := range steps {
		get := func(name string) string { return values.Get(app.SmallerStepField(n, name)) }
		steps[n] = app.SmallerStep{Label: get("label"), Name: get("name"), DoneWhen: get("done_when"), Criterion: get("criterion")}
	}
	return steps
}

// BranchPage returns the page for splitting a step for one learner. values
// holds what was typed; nil at first.
func BranchPage(t *message.Printer, p reading.Progress, values url.Values, problems map[string]string) view.BranchPage {
	after := p.Latest()
	if values != nil {
		after = values.Get("after")
	}
	m := view.BranchPage{
		T: t, Up: PlacementCrumbs(t, p), Crumb: p.Step.Label, Action: href.PlacementDecide.To(p.Placement.ID), Token: NewToken(), After: after,
		Title: t.Text("branch.title", "step", p.Step.Label), Lead: t.Text("branch.lead", "learner", p.Learner.Nickname, "name", p.Step.Name),
		Stair: stairOf(t, stepRows(p.Strand), p.Step.Key, p.Met),
		Thin:  view.Field{T: t, Name: "thin", Label: t.Text("branch.steps"), Error: problems["thin"]},
		Reason: view.Field{
			T: t, Name: "reason", Label: t.Text("decide.reason"), Hint: t.Text("branch.reason_hint"), Value: values.Get("reason"), Error: problems["reason"], Required: true,
		},
		ForFamily: view.Field{
			T: t, Name: "for_family", Label: t.Text("decide.for_family"), Hint: t.Text("decide.for_family.hint"), Value: values.Get("for_family"), Error: problems["for_family"],
		},
		Expected: view.Field{
			T: t, Name: "expected", Label: t.Text("decide.expected"), Hint: t.Text("decide.expected_hint"), Value: values.Get("expected"), Error: problems["expected"],
		},
		By: view.Field{T: t, Name: "expected_by", Label: t.Text("decide.look_again"), Value: values.Get("expected_by"), Error: problems["expected_by"]},
	}
	if problems["kind"] != "" {
		m.Thin.Error = problems["kind"]
	}
	rows := shownSmallerSteps
	for n, step := range SmallerSteps(values) {
		if step.Label+step.Name+step.DoneWhen != "" {
			rows = max(rows, n+1)
		}
	}
	for n := range min(rows+1, app.MaxSmallerSteps) {
		if n < shownSmallerSteps || values != nil {
			m.Steps = append(m.Steps, smallerStepForm(t, p, n, values, problems))
		}
	}
	return m
}

func smallerStepForm(t *message.Printer, p reading.Progress, n int, values url.Values, problems map[string]string) view.SmallerStepForm {
	field := func(name, label, hint, first string) view.Field {
		f := view.Field{T: t, Name: app.SmallerStepField(n, name), Label: t.Text(label), Value: values.Get(app.SmallerStepField(n, name)), Error: problems[app.SmallerStepField(n, name)]}
		if hint != "" {
			f.Hint = t.Text(hint)
		}
		if values == nil {
			f.Value = first
		}
		f.Required = n < 2
		return f
	}
	label := ""
	if n < 2 {
		label = p.Step.Label + string(rune('a'+n))
	}
	f := view.SmallerStepForm{
		Legend: t.Text("branch.step", "n", n+1), Label: field("label", "branch.label", "", label), Name: field("name", "branch.name", "", ""),
		DoneWhen: field("done_when", "branch.done_when", "", ""), Criterion: field("criterion", "branch.criterion", "branch.criterion_hint", p.Step.Criterion),
	}
	f.Label.Short, f.DoneWhen.Required, f.Criterion.Required = true, false, false
	return f
}

// PlacementCrumbs returns the breadcrumbs of a page about a placement.
func PlacementCrumbs(t *message.Printer, p reading.Progress) []view.Link {
	return []view.Link{
		{Label: t.Text("nav.caseload"), Href: href.Caseload},
		{Label: p.Learner.Nickname, Href: href.Learner.To(p.Learner.ID)},
		{Label: p.Version.Document.Title, Href: href.Placement.To(p.Placement.ID)},
	}
}
