package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

// sayWhatCame keeps what somebody says came of a decision. If it cannot be
// taken as it is, the placement's page comes back with everything as typed.
func (s *Server) sayWhatCame(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	decision, err := pathID[newel.DecisionID](r, "decision")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	in, to := app.VerdictInput{Came: newel.Came(values.Get("came")), Line: values.Get("line")}, ""
	if err == nil {
		to, err = s.app.SayWhatCame(r.Context(), mustActor(r), form, id, decision, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showPlacement(w, r, http.StatusUnprocessableEntity, app.DecisionInput{}, func(m *view.ProgressPage, _ reading.Progress) {
			for _, line := range m.Decisions {
				if f := line.Ask; f != nil && line.ID == "decision-"+decision.String() {
					f.Open, f.Came.Value, f.Line.Value = true, string(in.Came), in.Line
					f.Came.Error, f.Line.Error = problems["came"]+problems["form"], problems["line"]
				}
			}
		})
	})
}
