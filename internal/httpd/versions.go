package httpd

import (
	"net/http"
	"net/url"

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
	m := say.VersionsPage(t, actor, id, v)
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
	m := say.ComparePage(t, id, v, from, to)
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
	m := say.MovePage(t, v, s.formState(r, href.AssignmentVersion.To(id), values, problems))
	return s.page(w, r, status, page{Title: t.Text("move.title", "learner", m.Learner, "to", m.To), Section: "families", Notice: problems["form"]}, view.Move(m))
}
