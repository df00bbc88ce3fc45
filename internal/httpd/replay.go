package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func replayInput(r *http.Request) app.ReplayInput {
	q := r.URL.Query()
	return app.ReplayInput{Criterion: q.Get("criterion"), StepBack: q.Get("step_back"), Given: q.Has("criterion")}
}

// replay tries a draft's criterion on past sessions of everybody within reach.
func (s *Server) replay(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	step := r.PathValue("step")
	v, err := s.app.Replay(r.Context(), mustActor(r), id, step, replayInput(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.ReplayPage(t, v)
	m.Action = r.URL.Path
	m.Crumbs = []view.Link{{Label: t.Text("read.crumb"), Href: href.Programs}, {Label: v.Program.Title, Href: href.Program.To(id)}}
	m.Of = t.Text("replay.caseload")
	if v.WholeClinic {
		m.Of = t.Text("replay.clinic")
	}
	if v.TooFew {
		m.Said = []string{t.Text("replay.too_few", "n", v.Learners, "least", app.ReplayLearners), t.Text("replay.too_few_open")}
	} else {
		m.Said = append([]string{t.Text("replay.sum_stays", "n", v.Sum.Stays, "learners", v.Learners)}, say.SumLines(t, v.Sum)...)
	}
	return s.page(w, r, replayStatus(v), page{Title: m.Title, Section: "library"}, view.Replay(m))
}

// learnerReplay tries another criterion on one learner's past sessions.
func (s *Server) learnerReplay(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	v, err := s.app.ReplayLearner(r.Context(), mustActor(r), id, replayInput(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.ReplayPage(t, v)
	m.Action, m.Of = href.PlacementReplay.To(id), t.Text("replay.learner", "learner", v.Learner.Nickname)
	m.Crumbs = []view.Link{{Label: v.Learner.Nickname, Href: href.Learner.To(v.Learner.ID)}, {Label: v.Program.Title, Href: href.Placement.To(id)}}
	for _, stay := range v.Stays {
		m.Stays = append(m.Stays, say.ReplayLine(t, stay))
		m.Said = append(m.Said, say.StayText(t, stay.Replayed))
	}
	switch {
	case len(v.Stays) == 0:
		m.Said = []string{t.Text("replay.none")}
	case len(v.Stays) > 1:
		m.Said = say.SumLines(t, v.Sum)
	}
	return s.page(w, r, replayStatus(v), page{Title: m.Title, Section: "families"}, view.Replay(m))
}

func replayStatus(v app.ReplayView) int {
	if len(v.Problems) > 0 {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}
