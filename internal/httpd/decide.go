package httpd

import (
	"errors"
	"net/http"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/say"
	"newel/internal/timezone"
	"newel/internal/view"
)

func (s *Server) decisionRoutes() []Route {
	return []Route{
		{Method: http.MethodPost, Pattern: href.CaseloadSeen, Needs: newel.Decide, Handle: s.seenTogether},
		{Method: http.MethodGet, Pattern: string(href.PlacementOwn), Needs: newel.Decide, Handle: s.own},
		{Method: http.MethodPost, Pattern: string(href.PlacementOwn), Needs: newel.Decide, Handle: s.setOwn},
		{Method: http.MethodGet, Pattern: string(href.PlacementBranch), Needs: newel.Decide, Handle: s.branch},
		{Method: http.MethodGet, Pattern: string(href.PlacementAsk), Needs: newel.Decide, Handle: s.ask},
		{Method: http.MethodPost, Pattern: string(href.PlacementAsk), Needs: newel.Decide, Handle: s.postAsk},
		{Method: http.MethodPost, Pattern: string(href.PlacementVerdict), Needs: newel.Decide, Handle: s.sayWhatCame},
		{Method: http.MethodGet, Pattern: href.Questions, Needs: newel.TeachToday, Handle: s.questions},
		{Method: http.MethodPost, Pattern: string(href.Question), Needs: newel.TeachToday, Handle: s.answerQuestion},
	}
}

// decide records a decision. If it cannot be taken as it is, the placement's
// page comes back with everything as typed; if somebody else was first, with
// who decided what.
func (s *Server) decide(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	in := app.DecisionInput{
		Kind: newel.DecisionKind(values.Get("kind")), To: values.Get("to"), Reason: values.Get("reason"), Expected: values.Get("expected"),
		ExpectedBy: values.Get("expected_by"), After: values.Get("after"),
	}
	if in.Kind == newel.DecisionBranch {
		in.Steps = say.ThinSteps(values)
	}
	if values.Get("back") == "caseload" {
		in.Back = href.Caseload
	}
	var location string
	if err == nil {
		location, err = s.app.Decide(r.Context(), mustActor(r), form, id, in)
	}
	if err == nil {
		return see(w, r, location)
	}
	if problems, invalid := problemTexts(s.printer(r), err); invalid {
		if in.Kind == newel.DecisionBranch {
			return s.showBranch(w, r, http.StatusUnprocessableEntity, values, problems)
		}
		return s.showPlacement(w, r, http.StatusUnprocessableEntity, in, func(m *view.ProgressPage, _ reading.Progress) { say.TellProblems(m, problems) })
	}
	var meanwhile *app.DecidedMeanwhile
	if errors.As(err, &meanwhile) {
		t := s.printer(r)
		return s.showPlacement(w, r, http.StatusConflict, in, func(m *view.ProgressPage, p reading.Progress) {
			m.Meanwhile, m.MeanwhileMine = say.MeanwhileText(t, meanwhile, timezone.OrUTC(p.Family.TimeZone)), in.Reason
		})
	}
	return err
}
