package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) fidelityRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.PlacementFidelity), Needs: newel.Decide, Handle: formAt("placement", s.showFidelityForm)},
		{Method: http.MethodPost, Pattern: string(href.PlacementFidelity), Needs: newel.Decide, Handle: postAt(s, "placement", s.recordFidelity, s.showFidelityForm)},
		{Method: http.MethodPost, Pattern: string(href.FidelityWithdraw), Needs: newel.Decide, Handle: postAt(s, "placement", s.withdrawFidelity, nil)},
	}
}

// showFidelityForm shows the form for a fidelity check.
func (s *Server) showFidelityForm(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	t := s.printer(r)
	p, people, err := s.app.FidelityForm(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if f.Values == nil {
		f.Values = url.Values{"taught_on": {p.Today.String()}}
		if len(people) == 1 {
			f.Set("person", people[0].ID.String())
		}
	}
	form := s.formState(r, href.PlacementFidelity.To(id), f)
	m := say.FidelityFormPage(t, p, people, form)
	return s.page(w, r, f.status(), page{Title: m.Title, Section: "caseload", Notice: f.problems["form"]}, view.LookOn(m))
}

func (s *Server) recordFidelity(r *http.Request, id newel.PlacementID, f sent) (string, error) {
	return s.app.RecordFidelity(r.Context(), mustActor(r), f.token, id, app.FidelityInput{
		Person: f.Get("person"), TaughtOn: f.Get("taught_on"), Watched: f.Get("watched"), Note: f.Get("note"),
		Seen: func(n int) string { return f.Get(say.SeenName(n)) },
	})
}

func (s *Server) withdrawFidelity(r *http.Request, placement newel.PlacementID, f sent) (string, error) {
	id, err := pathID[newel.FidelityID](r, "fidelity")
	if err != nil {
		return "", err
	}
	return s.app.WithdrawFidelity(r.Context(), mustActor(r), f.token, placement, id)
}
