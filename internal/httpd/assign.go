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
		{Method: http.MethodGet, Pattern: string(href.LearnerAssign), Needs: newel.AssignProgram, Handle: s.assignPage},
		{Method: http.MethodPost, Pattern: string(href.LearnerAssign), Needs: newel.AssignProgram, Handle: s.assign},
		{Method: http.MethodGet, Pattern: string(href.Placement), Needs: newel.SeeLearner, Handle: s.placement},
		{Method: http.MethodPost, Pattern: string(href.PlacementDecide), Needs: newel.Decide, Handle: s.decide},
		{Method: http.MethodGet, Pattern: string(href.Progress), Needs: newel.SeeProgress, Handle: s.familyProgress},
	}
}

func (s *Server) assignPage(w http.ResponseWriter, r *http.Request) error {
	return s.showAssign(w, r, http.StatusOK, app.AssignInput{Program: r.URL.Query().Get("program")}, nil)
}

func (s *Server) assign(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	in := app.AssignInput{Program: values.Get("program"), WithoutTouch: values.Get("without_touch") == "yes", AllTheSame: values.Get("all_the_same") == "yes"}
	var location string
	if err == nil {
		location, err = s.app.Assign(r.Context(), mustActor(r), form, id, in)
	}
	if problems, invalid := problemTexts(s.printer(r), err); invalid {
		return s.showAssign(w, r, http.StatusUnprocessableEntity, in, problems)
	}
	if err != nil {
		return err
	}
	return see(w, r, location)
}

func (s *Server) showAssign(w http.ResponseWriter, r *http.Request, status int, in app.AssignInput, problems map[string]string) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
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
