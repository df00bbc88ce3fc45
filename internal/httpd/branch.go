package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) branch(w http.ResponseWriter, r *http.Request) error {
	return s.showBranch(w, r, http.StatusOK, nil, nil)
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
	m := say.BranchPage(t, p, values, problems)
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload"}, view.Branch(m))
}
