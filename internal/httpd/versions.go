package httpd

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) versionRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.ProgramVersions), Needs: newel.SeeLibrary, Handle: s.versions},
		{Method: http.MethodGet, Pattern: string(href.ProgramCompare), Needs: newel.SeeLibrary, Handle: s.compare},
		{Method: http.MethodGet, Pattern: string(href.AssignmentVersion), Needs: newel.AssignProgram, Handle: s.moveForm},
		{Method: http.MethodPost, Pattern: string(href.AssignmentVersion), Needs: newel.AssignProgram, Handle: s.move},
		{Method: http.MethodGet, Pattern: string(href.PlacementSheet), Needs: newel.SeeLearner, Handle: s.sheet},
	}
}

func (s *Server) versions(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Versions(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := view.VersionsPage{T: t, Title: v.Program.Title, ID: id}
	compare := func(from, to string) string { return href.CompareStates(id, from, to) }
	if v.HasDraft && len(v.Versions) > 0 && actor.Can(newel.DraftProgram) {
		m.Draft = &view.Link{Label: t.Text("versions.draft_changes"), Href: compare(strconv.Itoa(v.Versions[0].Number), app.DraftName)}
	}
	for i, version := range v.Versions {
		n := strconv.Itoa(version.Number)
		e := view.VersionEntry{ID: "version-" + n, Name: t.Text("versions.version", "n", version.Number), Href: href.InState(href.Program.To(id), n)}
		e.Published = t.Text("versions.published", "day", t.Day(say.DayOf(version.PublishedAt)), "who", version.PublishedBy)
		if i+1 < len(v.Versions) {
			before := strconv.Itoa(v.Versions[i+1].Number)
			e.Changes = &view.Link{Label: t.Text("versions.changes", "from", before), Href: compare(before, n)}
		}
		for _, l := range v.Learners {
			if l.Number != version.Number || !actor.Can(newel.SeeLearner) {
				continue
			}
			line := view.VersionLearner{Name: l.Learner, Href: href.Placement.To(l.PlacementID), Sheet: href.PlacementSheet.To(l.PlacementID), At: strings.TrimSpace(l.Role + " " + l.StepLabel)}
			if i > 0 && actor.Can(newel.AssignProgram) {
				line.Move = href.AssignmentVersion.To(l.AssignmentID)
			}
			e.Learners = append(e.Learners, line)
		}
		m.Entries = append(m.Entries, e)
	}
	return s.page(w, r, http.StatusOK, page{Title: t.Text("versions.title", "program", m.Title), Section: "library"}, view.Versions(m))
}

func (s *Server) compare(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	t, q := s.printer(r), r.URL.Query()
	from, to := q.Get("from"), q.Get("to")
	if to == "" { // from the latest to itself: nothing
		from, to = "1", "1"
	}
	v, err := s.app.Compare(r.Context(), mustActor(r), id, from, to)
	if err != nil {
		return err
	}
	m := view.ComparePage{T: t, Title: v.Program.Title, ID: id, From: say.StateName(t, from), To: say.StateName(t, to)}
	for _, f := range v.Comparison.Fields {
		m.Program = append(m.Program, view.Change{Label: say.FieldLabel(t, f.Name), Words: f.Words()})
	}
	if v.Comparison.Procedure {
		m.Everyone = t.Text("compare.everyone")
	}
	for _, step := range v.Comparison.Steps {
		c := view.StepChange{Title: step.Title, What: t.Text("compare.kind_" + say.ChangeKinds[step.Kind])}
		switch {
		case step.Criterion:
			c.Line = t.Text("compare.line_criterion")
		case step.Procedure:
			c.Line = t.Text("compare.line_procedure")
		}
		for _, f := range step.Fields {
			c.Changes = append(c.Changes, view.Change{Label: say.FieldLabel(t, f.Name), Words: f.Words()})
		}
		m.Steps = append(m.Steps, c)
	}
	return s.page(w, r, http.StatusOK, page{Title: t.Text("compare.title", "from", m.From, "to", m.To), Section: "library"}, view.Compare(m))
}

func (s *Server) moveForm(w http.ResponseWriter, r *http.Request) error {
	return s.showMove(w, r, http.StatusOK, nil, nil)
}

func (s *Server) move(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.AssignmentID](r, "assignment")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.Move(r.Context(), mustActor(r), form, id, values.Get("after"), values.Get("reason"))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showMove(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) showMove(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.AssignmentID](r, "assignment")
	if err != nil {
		return err
	}
	v, err := s.app.MoveForm(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.MovePage{
		Form: s.formState(r, href.AssignmentVersion.To(id), values, problems), Learner: v.Learner.Nickname,
		Back: href.Learner.To(v.Learner.ID), Title: v.Program.Title, From: v.From, To: v.To, After: v.After,
		Compare: href.CompareStates(v.Program.ID, strconv.Itoa(v.From), strconv.Itoa(v.To)),
	}
	for _, stay := range v.Stays {
		line := view.MoveLine{Title: stay.Title, What: t.Text("move.goes_on", "step", stay.NewTitle)}
		switch {
		case stay.NewTitle == "":
			line.What, line.Alert = t.Text("move.gone"), true
		case stay.PhaseLine:
			line.What = t.Text("move.begins_anew", "step", stay.NewTitle)
		}
		m.Stays = append(m.Stays, line)
	}
	for _, o := range v.Overrides {
		line := view.MoveLine{Title: o.Title, What: t.Text("move.own_kept")}
		if !o.Kept {
			line.What, line.Alert = t.Text("move.own_waits"), true
		}
		m.Overrides = append(m.Overrides, line)
	}
	return s.page(w, r, status, page{Title: t.Text("move.title", "learner", m.Learner, "to", m.To), Section: "families", Notice: problems["form"]}, view.Move(m))
}
