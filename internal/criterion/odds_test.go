package criterion

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

func mustOdds(t checker, q OddsQuestion) OddsAnswer {
	t.Helper()
	a, err := Odds(q)
	if err != nil {
		t.Fatalf("Odds: %v", err)
	}
	return a
}

// TestOdds compares with exact dynamic programming in rational arithmetic
// (computed).
func TestOdds(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		criterion        string
		trials           int
		accuracy         string
		session          float64
		in5, in10, in20  float64
		expected         float64
		tolerance, ofExp float64
	}{
		{"3x100%", 10, "0.50", 0.0009765625, 2.792149e-09, 7.444214e-09, 1.674834e-08, 1074791424, 1e-14, 1e-3},
		{"3x100%", 10, "0.80", 0.1073741824, 0.0034479745, 0.0089602626, 0.0198932707, 903.842966, 1e-10, 1e-6},
		{"3x100%", 10, "0.9", 0.3486784401, 0.0976117089, 0.2264073956, 0.4311678132, 34.683060, 1e-10, 1e-6},
		{"90% in 2 sessions", 20, "0.95", 0.9245163262, 0.9931393542, 0.9999846882, 0.9999999999, 2.251606, 1e-10, 1e-6},
		{"80% in 3 sessions", 10, "0.70", 0.3827827864, 0.1253212773, 0.2834521079, 0.5186609570, 27.266980, 1e-10, 1e-6},
		{"80% in 3 sessions", 5, "0.70", 0.5282200000, 0.2864458107, 0.5641061632, 0.8362647734, 12.262258, 1e-10, 1e-6},
		// 79 % of 5 trials also means 4 of 5.
		{"79% in 3 sessions", 5, "0.70", 0.5282200000, 0.2864458107, 0.5641061632, 0.8362647734, 12.262258, 1e-10, 1e-6},
		{"90% in 2 of the last 3 sessions", 10, "0.80", 0.37580964, 0.51697091, 0.80547779, 0.96815068, 7.020327, 1e-8, 1e-6},
		{"80% in 3 of the last 5 sessions", 10, "0.50", 0.05468750, 0.00150432, 0.00553210, 0.01346978, 1251.419122, 1e-8, 1e-6},
		{"100% in 8 of the last 10 sessions", 1, "0.70", 0.7, 0, 0.38278279, 0.74986767, 16.810210, 1e-8, 1e-6},
	} {
		a := mustOdds(t, OddsQuestion{Criterion: c.criterion, Trials: c.trials, Accuracy: []exact.Rat{ratOf(c.accuracy)}, Sessions: []int{5, 10, 20, 0}})
		row := a.Rows[0]
		if row.ExpectedSessions == nil {
			t.Fatalf("%s: no expectation", c.criterion)
		}
		for what, pair := range map[string][3]float64{
			"session":   {row.Session, c.session, max(c.tolerance, 1e-10)},
			"within 5":  {row.Within[0], c.in5, c.tolerance},
			"within 10": {row.Within[1], c.in10, c.tolerance},
			"within 20": {row.Within[2], c.in20, c.tolerance},
			"within 0":  {row.Within[3], 0, 0},
			"expected":  {*row.ExpectedSessions, c.expected, c.ofExp},
		} {
			if math.Abs(pair[0]-pair[1]) > pair[2] {
				t.Errorf("%s at %s: %s %v, want %v", c.criterion, c.accuracy, what, pair[0], pair[1])
			}
		}
	}
}

func TestOddsEdges(t *testing.T) {
	t.Parallel()
	ask := func(criterion string, trials int, accuracy string) OddsRow {
		return mustOdds(t, OddsQuestion{
			Criterion: criterion, Trials: trials, HelpLevels: helpLevels,
			Accuracy: []exact.Rat{ratOf(accuracy)}, Sessions: []int{3},
		}).Rows[0]
	}
	text := func(r OddsRow) string {
		expected := "null"
		if r.ExpectedSessions != nil {
			expected = fmt.Sprint(*r.ExpectedSessions)
		}
		return fmt.Sprintf("%v %v %s", r.Session, r.Within, expected)
	}
	for _, c := range []struct{ name, got, want string }{
		{"certain", text(ask("3x100%", 10, "1")), "1 [1] 3"},
		{"hopeless", text(ask("3x100%", 10, "0")), "0 [0] null"},
		{"fewer trials than required", text(ask("3x100%, 11 or more trials", 10, "1")), "0 [0] null"},
		{"just enough trials", text(ask("3x100%, 10 or more trials", 10, "1")), "1 [1] 3"},
		{"nothing can be above 100", text(ask("above 100% in 1 session", 10, "1")), "0 [0] null"},
		{"0 % is always met", text(ask("0% in 2 sessions", 10, "0.3")), "1 [1] 2"},
		{"at most", text(ask("at most 0% in 1 session", 10, "0")), "1 [1] 1"},
		{"below", text(ask("below 50% in 1 session", 1, "0.5")), "0.5 [0.875] 2"},
		{"breadth is ignored", text(ask("3x100%, across 5 people", 10, "1")), "1 [1] 3"},
		{"with help", text(ask("100% with help up to model in 3 sessions", 10, "1")), "1 [1] 3"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.name, c.got, c.want)
		}
	}
}

func TestOddsErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path string
		q    OddsQuestion
	}{
		{"criterion", OddsQuestion{Criterion: "good", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "2 errors in 3 sessions", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "first trial correct in 3 sessions", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "80% in 3 sessions, each target", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "80% in 3 sessions, and 2 errors", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "80% in 15 sessions", Trials: 10}},
		{"criterion", OddsQuestion{Criterion: "80% in 2 of the last 15 sessions", Trials: 10}},
		{"trials", OddsQuestion{Criterion: "80% in 3 sessions"}},
		{"trials", OddsQuestion{Criterion: "80% in 3 sessions", Trials: 10_001}},
		{"accuracy[1]", OddsQuestion{Criterion: "80% in 3 sessions", Trials: 10, Accuracy: []exact.Rat{ratOf("1"), ratOf("1.01")}}},
		{"accuracy[0]", OddsQuestion{Criterion: "80% in 3 sessions", Trials: 10, Accuracy: []exact.Rat{ratOf("-0.1")}}},
		{"sessions[0]", OddsQuestion{Criterion: "80% in 3 sessions", Trials: 10, Sessions: []int{-1}}},
		{"help_levels[0]", OddsQuestion{Criterion: "80% in 3 sessions", Trials: 10, HelpLevels: []string{""}}},
	} {
		_, err := Odds(c.q)
		var wrong *InputError
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%+v: %v", c.q, err)
		}
	}
}

// TestOddsGrow checks that odds grow with accuracy (if higher is better) and
// with sessions.
func TestOddsGrow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := Criterion{
			Goal:   Goal{Number: exact.Int(rapid.Int64Range(0, 100).Draw(t, "percent"))},
			Window: windows().Draw(t, "window"),
		}
		low := rapid.Int64Range(0, 100).Draw(t, "low")
		high := rapid.Int64Range(low, 100).Draw(t, "high")
		a := mustOdds(t, OddsQuestion{
			Criterion: c.String(), Trials: rapid.IntRange(1, 80).Draw(t, "trials"),
			Accuracy: []exact.Rat{exact.Frac(low, 100), exact.Frac(high, 100)},
			Sessions: []int{1, 2, 5, 10, 20, 50},
		})
		worse, better := a.Rows[0], a.Rows[1]
		const slack = 1e-12
		if worse.Session > better.Session+slack {
			t.Fatalf("a session qualifies more often at a lower accuracy: %v", a)
		}
		for i := range worse.Within {
			if worse.Within[i] > better.Within[i]+slack {
				t.Fatalf("met sooner at a lower accuracy: %v", a)
			}
			if i > 0 && better.Within[i] < better.Within[i-1] {
				t.Fatalf("fewer within more sessions: %v", a)
			}
		}
		if worse.ExpectedSessions != nil && *worse.ExpectedSessions*(1+1e-9) < *better.ExpectedSessions {
			t.Fatalf("a shorter wait at a lower accuracy: %v %v", *worse.ExpectedSessions, *better.ExpectedSessions)
		}
	})
}
