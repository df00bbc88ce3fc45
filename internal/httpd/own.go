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

func (s *Server) own(w http.ResponseWriter, r *http.Request) error {
	return s.showOwn(w, r, http.StatusOK, nil, nil, "")
}

// showOwn shows what is one learner's own on a step; values are what was
// typed, nil at first. Under each field stands what the program says.
func (s *Server) showOwn(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string, meanwhile string) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	t := s.printer(r)
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	_, programs := p.Version.Document.Step(p.Placement.StepKey)
	if !p.Open() && values == nil || programs == nil {
		return see(w, r, href.Placement.To(id))
	}
	now := programs.With(p.Assignment.Overrides[programs.Key])
	if values == nil {
		values = url.Values{"say": {now.Say}, "criterion": {now.Criterion}, "step_back": {now.StepBack}, "trials": {say.NumberText(now.Trials)}, "after": {p.Latest()}}
	}
	m := say.OwnPage(t, p, programs, s.formState(r, href.PlacementOwn.To(id), values, problems), meanwhile)
	if meanwhile != "" {
		m.After = p.Latest()
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload", Notice: problems["form"]}, view.Own(m))
}

func (s *Server) setOwn(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.SetOwn(r.Context(), mustActor(r), form, id, app.OwnInput{
			Say: values.Get("say"), Criterion: values.Get("criterion"), StepBack: values.Get("step_back"), Trials: values.Get("trials"),
			Reason: values.Get("reason"), After: values.Get("after"),
		})
	}
	var meanwhile *app.DecidedMeanwhile
	if errors.As(err, &meanwhile) {
		p, err := s.app.Progress(r.Context(), mustActor(r), id)
		if err != nil {
			return err
		}
		return s.showOwn(w, r, http.StatusConflict, values, nil, say.MeanwhileText(s.printer(r), meanwhile, timezone.OrUTC(p.Family.TimeZone)))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showOwn(w, r, http.StatusUnprocessableEntity, values, problems, "")
	})
}
