package say

import (
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/reading"
	"newel/internal/view"
)

// shownThin is the number of smaller steps that the form shows at first.
const shownThin = 3

// ThinSteps reads the smaller steps from the form.
func ThinSteps(values url.Values) []app.ThinStep {
	steps := make([]app.ThinStep, app.MostThin)
	for n := range steps {
		get := func(name string) string { return values.Get(app.ThinField(n, name)) }
		steps[n] = app.ThinStep{Label: get("label"), Name: get("name"), DoneWhen: get("done_when"), Criterion: get("criterion")}
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
		Stair: stairOf(t, stepRows(p.Strand), p.Step.Key, p.Climbed),
		Thin:  view.Field{T: t, Name: "thin", Label: t.Text("branch.steps"), Error: problems["thin"]},
		Reason: view.Field{
			T: t, Name: "reason", Label: t.Text("decide.reason"), Hint: t.Text("branch.reason_hint"), Value: values.Get("reason"), Error: problems["reason"], Required: true,
		},
		Expected: view.Field{
			T: t, Name: "expected", Label: t.Text("decide.expected"), Hint: t.Text("decide.expected_hint"), Value: values.Get("expected"), Error: problems["expected"],
		},
		By: view.Field{T: t, Name: "expected_by", Label: t.Text("decide.look_again"), Value: values.Get("expected_by"), Error: problems["expected_by"]},
	}
	if problems["kind"] != "" {
		m.Thin.Error = problems["kind"]
	}
	rows := shownThin
	for n, step := range ThinSteps(values) {
		if step.Label+step.Name+step.DoneWhen != "" {
			rows = max(rows, n+1)
		}
	}
	for n := range min(rows+1, app.MostThin) {
		if n < shownThin || values != nil {
			m.Steps = append(m.Steps, thinForm(t, p, n, values, problems))
		}
	}
	return m
}

func thinForm(t *message.Printer, p reading.Progress, n int, values url.Values, problems map[string]string) view.ThinForm {
	field := func(name, label, hint, first string) view.Field {
		f := view.Field{T: t, Name: app.ThinField(n, name), Label: t.Text(label), Value: values.Get(app.ThinField(n, name)), Error: problems[app.ThinField(n, name)]}
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
	f := view.ThinForm{
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
