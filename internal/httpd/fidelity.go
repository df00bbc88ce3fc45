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
		{Method: http.MethodGet, Pattern: string(href.PlacementFidelity), Needs: newel.Decide, Handle: s.lookOn},
		{Method: http.MethodPost, Pattern: string(href.PlacementFidelity), Needs: newel.Decide, Handle: s.noteFidelity},
		{Method: http.MethodPost, Pattern: string(href.FidelityWithdraw), Needs: newel.Decide, Handle: s.deed(s.withdrawFidelity)},
	}
}

func (s *Server) lookOn(w http.ResponseWriter, r *http.Request) error {
	return s.showLookOn(w, r, http.StatusOK, nil, nil)
}

// showLookOn shows the form of what was seen; values are what was typed, nil
// at first.
func (s *Server) showLookOn(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	t := s.printer(r)
	p, people, err := s.app.LookingOn(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if values == nil {
		values = url.Values{"taught_on": {p.Today.String()}}
		if len(people) == 1 {
			values.Set("person", people[0].ID.String())
		}
	}
	form := s.formState(r, href.PlacementFidelity.To(id), values, problems)
	m := say.LookOnPage(t, p, people, form)
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload", Notice: problems["form"]}, view.LookOn(m))
}

func (s *Server) noteFidelity(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.NoteFidelity(r.Context(), mustActor(r), form, id, app.FidelityInput{
			Person: values.Get("person"), TaughtOn: values.Get("taught_on"), Watched: values.Get("watched"), Note: values.Get("note"),
			Seen: func(n int) string { return values.Get(say.SeenName(n)) },
		})
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showLookOn(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) withdrawFidelity(r *http.Request, _ url.Values, form app.Form) (string, error) {
	placement, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return "", err
	}
	id, err := pathID[newel.FidelityID](r, "fidelity")
	if err != nil {
		return "", err
	}
	return s.app.WithdrawFidelity(r.Context(), mustActor(r), form, placement, id)
}
