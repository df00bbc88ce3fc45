package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

func (s *Server) planSession(r *http.Request, id newel.PlacementID, f sent) (string, error) {
	return s.app.PlanSession(r.Context(), mustActor(r), f.token, id, newel.PlannedKind(f.Get("plan")))
}

// showPlanForm shows the placement's page with the problem beside the plan's
// form.
func (s *Server) showPlanForm(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	return s.showPlacement(w, r, f.status(), id, app.DecisionInput{}, func(m *view.ProgressPage, _ reading.Progress) {
		if m.Plan != nil && m.Plan.Form != nil {
			m.Plan.Form.Kind.Value, m.Plan.Form.Kind.Error = f.Get("plan"), f.problems["plan"]+f.problems["form"]
		}
	})
}
