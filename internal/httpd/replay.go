package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func replayInput(r *http.Request) app.ReplayInput {
	q := r.URL.Query()
	return app.ReplayInput{Criterion: q.Get("criterion"), StepBack: q.Get("step_back"), Given: q.Has("criterion")}
}

// replay tries a draft's criterion on past sessions of all learners within
// reach.
func (s *Server) replay(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	step := r.PathValue("step")
	v, err := s.app.Replay(r.Context(), mustActor(r), id, step, replayInput(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.ReplayOfAll(t, id, v)
	m.Action = r.URL.Path
	return s.page(w, r, replayStatus(v), page{Title: m.Title, Section: "library"}, view.Replay(m))
}

// learnerReplay tries another criterion on one learner's past sessions.
func (s *Server) learnerReplay(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	v, err := s.app.ReplayLearner(r.Context(), mustActor(r), id, replayInput(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.ReplayOfLearner(t, id, v)
	return s.page(w, r, replayStatus(v), page{Title: m.Title, Section: "families"}, view.Replay(m))
}

func replayStatus(v app.ReplayView) int {
	if len(v.Problems) > 0 {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}
