package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// shownThin is how many thinner steps the form has room for at first.
const shownThin = 3

func (s *Server) branch(w http.ResponseWriter, r *http.Request) error {
	return s.showBranch(w, r, http.StatusOK, nil, nil)
}

// thinSteps reads the thinner steps of the form.
func thinSteps(values url.Values) []app.ThinStep {
	steps := make([]app.ThinStep, app.MostThin)
	for n := range steps {
		get := func(name string) string { return values.Get(app.ThinField(n, name)) }
		steps[n] = app.ThinStep{Label: get("label"), Name: get("name"), DoneWhen: get("done_when"), Criterion: get("criterion")}
	}
	return steps
}

// showBranch shows the form; values are what was typed, nil at first.
func (s *Server) showBranch(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	t := s.printer(r)
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if !p.Open() {
		return see(w, r, href.Placement.To(id))
	}
	m := branchPage(t, p, values, problems)
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload"}, view.Branch(m))
}

func branchPage(t *message.Printer, p app.Progress, values url.Values, problems map[string]string) view.BranchPage {
	after := p.Latest()
	if values != nil {
		after = values.Get("after")
	}
	m := view.BranchPage{
		T: t, Up: placementCrumbs(t, p), Crumb: p.Step.Label, Action: href.PlacementDecide.To(p.Placement.ID), Token: newToken(), After: after,
		Title: t.Text("branch.title", "step", p.Step.Label), Lead: t.Text("branch.lead", "learner", p.Learner.Nickname, "name", p.Step.Name),
		Stair: stairOf(t, stepRows(p.Strand), p.Step.Key, p.Climbed),
		Thin:  view.Field{Name: "thin", Label: t.Text("branch.steps"), Error: problems["thin"]},
		Reason: view.Field{
			Name: "reason", Label: t.Text("decide.reason"), Hint: t.Text("branch.reason_hint"), Value: values.Get("reason"), Error: problems["reason"], Required: true,
		},
		Expected: view.Field{
			Name: "expected", Label: t.Text("decide.expected"), Hint: t.Text("decide.expected_hint"), Value: values.Get("expected"), Error: problems["expected"],
		},
		By: view.Field{Name: "expected_by", Label: t.Text("decide.look_again"), Value: values.Get("expected_by"), Error: problems["expected_by"]},
	}
	if problems["kind"] != "" {
		m.Thin.Error = problems["kind"]
	}
	rows := shownThin
	for n, step := range thinSteps(values) {
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

func thinForm(t *message.Printer, p app.Progress, n int, values url.Values, problems map[string]string) view.ThinForm {
	field := func(name, label, hint, first string) view.Field {
		f := view.Field{Name: app.ThinField(n, name), Label: t.Text(label), Value: values.Get(app.ThinField(n, name)), Error: problems[app.ThinField(n, name)]}
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

// placementCrumbs lead back from a page about a placement.
func placementCrumbs(t *message.Printer, p app.Progress) []view.Link {
	return []view.Link{
		{Label: t.Text("nav.caseload"), Href: href.Caseload},
		{Label: p.Learner.Nickname, Href: href.Learner.To(p.Learner.ID)},
		{Label: p.Version.Document.Title, Href: href.Placement.To(p.Placement.ID)},
	}
}
