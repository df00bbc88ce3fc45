package reading

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
)

// TestLateSessionsUnderChangedRules: a decision was based on a reading of
// version 1, and a session arrived after it. Only what the session changes is
// late, not what the rules have changed since.
func TestLateSessionsUnderChangedRules(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	session := func(day, correct int) newel.KeptSession {
		s := newel.KeptSession{}
		s.ID, s.StartedAt = newel.NewID[newel.RecordingID]().String(), start.AddDate(0, 0, day)
		s.EndedAt = s.StartedAt.Add(time.Minute)
		for i := range 5 {
			outcome := measure.Correct
			if i >= correct {
				outcome = measure.Incorrect
			}
			s.Trials = append(s.Trials, measure.Trial{Outcome: outcome})
		}
		return s
	}
	for _, c := range []struct {
		correct []int // by session; the last one is late
		changes bool
	}{
		{[]int{2, 3, 2, 3, 2, 3, 2, 3, 2}, false}, // version 1 called it flat, version 2 never does
		{[]int{2, 3, 2, 3, 2, 3, 2, 5, 5}, true},  // met with the late one
	} {
		t.Run(fmt.Sprint(c.correct), func(t *testing.T) {
			t.Parallel()
			g := Facts{
				TimeZone: "UTC", Criterion: "80% independent in 2 sessions in a row",
				Decided: &LatestDecision{
					At: start.AddDate(0, 0, 10), Reading: json.RawMessage(`{"status": "stalled", "flags": [{"kind": "flat", "sessions": []}]}`),
				},
			}
			for day, correct := range c.correct {
				g.Sessions = append(g.Sessions, session(day, correct))
			}
			late, err := newel.ParseID[newel.RecordingID](g.Sessions[len(g.Sessions)-1].ID)
			if err != nil {
				t.Fatal(err)
			}
			g.Decided.Late = []LateSession{{ID: late, At: start.AddDate(0, 0, 11)}}
			r, err := Evaluator(criterion.EvaluateEach).Evaluate(g, start.AddDate(0, 0, 12))
			if err != nil || r.Late == nil || r.Late.Changes != c.changes {
				t.Errorf("%+v, %v; want changes %v", r.Late, err, c.changes)
			}
			// Had version 2 made that reading, its flag would have been lost.
			g.Decided.Evaluator = criterion.EvaluatorVersion
			if r, err := Evaluator(criterion.EvaluateEach).Evaluate(g, start.AddDate(0, 0, 12)); err != nil || !r.Late.Changes {
				t.Errorf("%+v, %v", r.Late, err)
			}
		})
	}
}
