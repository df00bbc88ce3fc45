package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

// recordOutcome records the outcome of a decision.
func (s *Server) recordOutcome(r *http.Request, id newel.PlacementID, f sent) (string, error) {
	decision, err := pathID[newel.DecisionID](r, "decision")
	if err != nil {
		return "", err
	}
	in := app.VerdictInput{Came: newel.ExpectationResult(f.Get("came")), Line: f.Get("line")}
	return s.app.RecordOutcome(r.Context(), mustActor(r), f.token, id, decision, in)
}

// showOutcomeForm shows the placement's page with the decision's outcome form
// open, as it was filled in.
func (s *Server) showOutcomeForm(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	decision, err := pathID[newel.DecisionID](r, "decision")
	if err != nil {
		return err
	}
	return s.showPlacement(w, r, f.status(), id, app.DecisionInput{}, func(m *view.ProgressPage, _ reading.Progress) {
		for _, line := range m.Decisions {
			if ask := line.Ask; ask != nil && line.ID == "decision-"+decision.String() {
				ask.Open, ask.Came.Value, ask.Line.Value = true, f.Get("came"), f.Get("line")
				ask.Came.Error, ask.Line.Error = f.problems["came"]+f.problems["form"], f.problems["line"]
			}
		}
	})
}
