package httpd

import (
	"net/http"

	"github.com/a-h/templ"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) teachingRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Caseload, Needs: newel.SeeCaseload, Handle: s.caseload},
		{Method: http.MethodGet, Pattern: string(href.LearnerAssign), Needs: newel.AssignProgram, Handle: at("learner", s.assignPage)},
		{Method: http.MethodPost, Pattern: string(href.LearnerAssign), Needs: newel.AssignProgram, Handle: at("learner", s.assign)},
		{Method: http.MethodGet, Pattern: string(href.Placement), Needs: newel.SeeLearner, Handle: at("placement", s.placement)},
		{Method: http.MethodPost, Pattern: string(href.PlacementDecide), Needs: newel.Decide, Handle: at("placement", s.decide)},
		{Method: http.MethodGet, Pattern: string(href.Progress), Needs: newel.SeeProgress, Handle: at("placement", s.familyProgress)},
	}
}

func (s *Server) assignPage(w http.ResponseWriter, r *http.Request, id newel.LearnerID) error {
	return s.showAssign(w, r, http.StatusOK, id, app.AssignInput{Program: r.URL.Query().Get("program")}, nil)
}

func (s *Server) assign(w http.ResponseWriter, r *http.Request, id newel.LearnerID) error {
	f, err := readForm(r)
	in := app.AssignInput{Program: f.Get("program"), WithoutTouch: f.Get("without_touch") == "yes", AllTheSame: f.Get("all_the_same") == "yes"}
	to := ""
	if err == nil {
		to, err = s.app.Assign(r.Context(), mustActor(r), f.token, id, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showAssign(w, r, http.StatusUnprocessableEntity, id, in, problems)
	})
}

func (s *Server) showAssign(w http.ResponseWriter, r *http.Request, status int, id newel.LearnerID, in app.AssignInput, problems map[string]string) error {
	v, err := s.app.AssignForm(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.AssignPage(t, v, in, problems)
	return s.page(w, r, status, page{Title: t.Text("assign.page"), Section: "families", Notice: problems["form"]}, view.Assign(m))
}

// learnerPrograms is the part of a learner's page about programs.
func (s *Server) learnerPrograms(r *http.Request, l app.LearnerPage) (templ.Component, error) {
	actor, t := mustActor(r), s.printer(r)
	programs, err := s.app.LearnerPrograms(r.Context(), actor, l.ID)
	if err != nil {
		return nil, err
	}
	m := say.LearnerProgramsPart(t, actor, l, programs)
	week, err := s.learnerWeek(r, l.ID, programs)
	if err != nil {
		return nil, err
	}
	return templ.Join(view.LearnerPrograms(m), week), nil
}
