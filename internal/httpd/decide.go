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
		{Method: http.MethodGet, Pattern: string(href.PlacementOwn), Needs: newel.Decide, Handle: formAt("placement", s.showOwn)},
		{Method: http.MethodPost, Pattern: string(href.PlacementOwn), Needs: newel.Decide, Handle: at("placement", s.setOwn)},
		{Method: http.MethodGet, Pattern: string(href.PlacementBranch), Needs: newel.Decide, Handle: formAt("placement", s.showBranch)},
		{Method: http.MethodGet, Pattern: string(href.PlacementAsk), Needs: newel.Decide, Handle: at("placement", s.ask)},
		{Method: http.MethodPost, Pattern: string(href.PlacementAsk), Needs: newel.Decide, Handle: postAt(s, "placement", s.postAsk, s.showAsk)},
		{Method: http.MethodPost, Pattern: string(href.PlacementPlanned), Needs: newel.Decide, Handle: postAt(s, "placement", s.planSession, s.showPlanForm)},
		{Method: http.MethodPost, Pattern: string(href.PlacementVerdict), Needs: newel.Decide, Handle: postAt(s, "placement", s.recordOutcome, s.showOutcomeForm)},
		{Method: http.MethodGet, Pattern: href.Questions, Needs: newel.TeachToday, Handle: s.questions},
		{Method: http.MethodPost, Pattern: string(href.Question), Needs: newel.TeachToday, Handle: at("question", s.answerQuestion)},
	}
}

// decide records a decision. If it is invalid, the placement's page comes back
// with everything as typed; if someone else decided first, with their decision.
func (s *Server) decide(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	f, err := readForm(r)
	in := app.DecisionInput{
		Kind: newel.DecisionKind(f.Get("kind")), To: f.Get("to"), Reason: f.Get("reason"), ForFamily: f.Get("for_family"), Expected: f.Get("expected"),
		ExpectedBy: f.Get("expected_by"), After: f.Get("after"), Agreed: f.Get("agreed"), AgreedOn: f.Get("agreed_on"), No: f.Get("no"),
	}
	if in.Kind == newel.DecisionBranch {
		in.Steps = say.SmallerSteps(f.Values)
	}
	if f.Get("back") == "caseload" {
		in.Back = href.Caseload
	}
	to := ""
	if err == nil {
		to, err = s.app.Decide(r.Context(), mustActor(r), f.token, id, in)
	}
	var meanwhile *app.DecidedMeanwhile
	if errors.As(err, &meanwhile) {
		t := s.printer(r)
		return s.showPlacement(w, r, http.StatusConflict, id, in, func(m *view.ProgressPage, p reading.Progress) {
			m.Meanwhile, m.MeanwhileMine = say.MeanwhileText(t, meanwhile, timezone.OrUTC(p.Family.TimeZone)), in.Reason
		})
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		if in.Kind == newel.DecisionBranch {
			f.problems = problems
			return s.showBranch(w, r, id, f)
		}
		return s.showPlacement(w, r, http.StatusUnprocessableEntity, id, in, func(m *view.ProgressPage, _ reading.Progress) { say.TellProblems(m, problems) })
	})
}
