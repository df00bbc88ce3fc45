package httpd

import (
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) versionRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.ProgramVersions), Needs: newel.SeeLibrary, Handle: at("program", s.versions)},
		{Method: http.MethodGet, Pattern: string(href.ProgramCompare), Needs: newel.SeeLibrary, Handle: at("program", s.compare)},
		{Method: http.MethodGet, Pattern: string(href.AssignmentVersion), Needs: newel.AssignProgram, Handle: formAt("assignment", s.showMove)},
		{Method: http.MethodPost, Pattern: string(href.AssignmentVersion), Needs: newel.AssignProgram, Handle: postAt(s, "assignment", s.move, s.showMove)},
		{Method: http.MethodGet, Pattern: string(href.PlacementPrintout), Needs: newel.SeeLearner, Handle: at("placement", s.printout)},
	}
}

func (s *Server) versions(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Versions(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.VersionsPage(t, actor, id, v)
	return s.page(w, r, http.StatusOK, page{Title: t.Text("versions.title", "program", m.Title), Section: "library"}, view.Versions(m))
}

func (s *Server) compare(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	t, q := s.printer(r), r.URL.Query()
	from, to := q.Get("from"), q.Get("to")
	if to == "" { // from the latest to itself: no changes
		from, to = "1", "1"
	}
	v, err := s.app.Compare(r.Context(), mustActor(r), id, from, to)
	if err != nil {
		return err
	}
	m := say.ComparePage(t, id, v, from, to)
	return s.page(w, r, http.StatusOK, page{Title: t.Text("compare.title", "from", m.From, "to", m.To), Section: "library"}, view.Compare(m))
}

func (s *Server) move(r *http.Request, id newel.AssignmentID, f sent) (string, error) {
	return s.app.Move(r.Context(), mustActor(r), f.token, id, f.Get("after"), f.Get("reason"))
}

func (s *Server) showMove(w http.ResponseWriter, r *http.Request, id newel.AssignmentID, f sent) error {
	v, err := s.app.MoveForm(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.MovePage(t, v, s.formState(r, href.AssignmentVersion.To(id), f))
	return s.page(w, r, f.status(), page{Title: t.Text("move.title", "learner", m.Learner, "to", m.To), Section: "families", Notice: f.problems["form"]}, view.Move(m))
}
