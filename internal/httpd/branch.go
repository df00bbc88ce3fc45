package httpd

import (
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) showBranch(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	t := s.printer(r)
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if !p.Open() {
		return see(w, r, href.Placement.To(id))
	}
	m := say.BranchPage(t, p, f.Values, f.problems)
	return s.page(w, r, f.status(), page{Title: m.Title, Section: "caseload"}, view.Branch(m))
}
