package httpd

import (
	"errors"
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/timezone"
	"newel/internal/view"
)

func (s *Server) showOwn(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	return s.showOwnAs(w, r, f.status(), id, f, "")
}

// showOwnAs shows the changes to a step for one learner. The program's value is
// below each field.
func (s *Server) showOwnAs(w http.ResponseWriter, r *http.Request, status int, id newel.PlacementID, f sent, meanwhile string) error {
	t := s.printer(r)
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	_, programs := p.Version.Document.Step(p.Placement.StepKey)
	if !p.Open() && f.Values == nil || programs == nil {
		return see(w, r, href.Placement.To(id))
	}
	now := programs.With(p.Assignment.Overrides[programs.Key])
	if f.Values == nil {
		f.Values = url.Values{"say": {now.Say}, "criterion": {now.Criterion}, "step_back": {now.StepBack}, "trials": {say.NumberText(now.Trials)}, "after": {p.Latest()}}
	}
	m := say.OwnPage(t, p, programs, s.formState(r, href.PlacementOwn.To(id), f), meanwhile)
	if meanwhile != "" {
		m.After = p.Latest()
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload", Notice: f.problems["form"]}, view.Own(m))
}

func (s *Server) setOwn(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	f, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.SetOwn(r.Context(), mustActor(r), f.token, id, app.OwnInput{
			Say: f.Get("say"), Criterion: f.Get("criterion"), StepBack: f.Get("step_back"), Trials: f.Get("trials"),
			Reason: f.Get("reason"), ForFamily: f.Get("for_family"), After: f.Get("after"),
		})
	}
	var meanwhile *app.DecidedMeanwhile
	if errors.As(err, &meanwhile) {
		p, err := s.app.Progress(r.Context(), mustActor(r), id)
		if err != nil {
			return err
		}
		return s.showOwnAs(w, r, http.StatusConflict, id, f, say.MeanwhileText(s.printer(r), meanwhile, timezone.OrUTC(p.Family.TimeZone)))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		f.problems = problems
		return s.showOwn(w, r, id, f)
	})
}
