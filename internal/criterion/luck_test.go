package criterion

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

func mustLuck(t checker, text string, trials int) LuckAnswer {
	t.Helper()
	a, err := Luck(LuckQuestion{Criterion: text, HelpLevels: helpLevels, Trials: trials})
	if err != nil {
		t.Fatalf("Luck: %v", err)
	}
	return a
}

// TestLuckTable checks criteria whose luck was computed independently, in
// percent: a learner 20 points short of the goal, then one who has learned the
// skill, each within 10 sessions.
func TestLuckTable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		goal, window     string
		trials           int
		unlearnt, learnt int
		verdict          string
	}{
		{"80%", "2 sessions", 8, 9, 100, "sound"},
		{"80%", "2 sessions", 5, 59, 100, "lucky"},
		{"80%", "2 sessions", 6, 35, 100, "lucky"},
		{"80%", "2 sessions", 10, 20, 100, "lucky"},
		{"80%", "3 sessions", 3, 6, 89, "sound"},
		{"80%", "3 sessions", 4, 2, 80, "slow"},
		{"80%", "3 sessions", 5, 21, 100, "lucky"},
		{"80%", "3 sessions", 6, 8, 99, "sound"},
		{"80%", "3 sessions", 12, 0, 99, "sound"},
		{"80%", "3 of the last 4 sessions", 4, 4, 93, "sound"},
		{"80%", "4 sessions", 2, 8, 84, "sound"},
		{"80%", "4 sessions", 5, 6, 97, "sound"},
		{"80%", "4 of the last 5 sessions", 3, 3, 89, "sound"},
		{"75%", "3 sessions", 4, 30, 99, "lucky"},
		{"75%", "3 sessions", 6, 3, 94, "sound"},
		{"87%", "2 sessions", 8, 27, 100, "lucky"},
		{"87%", "3 sessions", 8, 5, 100, "sound"},
		{"90%", "2 sessions", 10, 17, 100, "lucky"},
		{"90%", "3 sessions", 10, 2, 100, "sound"},
		{"90%", "3 of the last 4 sessions", 6, 3, 98, "sound"},
		{"100%", "2 sessions", 8, 20, 98, "lucky"},
		{"100%", "3 sessions", 3, 53, 98, "lucky"},
		{"100%", "3 sessions", 9, 2, 75, "slow"},
		{"100%", "3 sessions", 10, 1, 70, "slow"},
		{"100%", "3 of the last 4 sessions", 8, 7, 94, "sound"},
		{"100%", "4 of the last 5 sessions", 6, 7, 90, "sound"},
		{"100%", "2 sessions", 2, 97, 100, "lucky"},
	} {
		a := mustLuck(t, c.goal+" in "+c.window, c.trials)
		verdict := map[[2]bool]string{{false, false}: "sound", {true, false}: "lucky", {false, true}: "slow"}[[2]bool{a.Lucky, a.Slow}]
		if rounded(a.Unlearnt.Within10) != c.unlearnt || rounded(a.Learnt.Within10) != c.learnt || verdict != c.verdict || a.Sound() != (verdict == "sound") {
			t.Errorf("%s in %s, %d trials: %v %v %s", c.goal, c.window, c.trials, a.Unlearnt.Within10, a.Learnt.Within10, verdict)
		}
	}
}

func rounded(p float64) int { return int(math.Round(100 * p)) }

func TestLuckPercents(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"80% in 3 sessions":                             "60 90",
		"15% in 3 sessions":                             "0 25",
		"87.5% in 3 sessions":                           "67.5 95",
		"100% in 3 sessions":                            "80 95",
		"above 80% in 3 sessions":                       "60 90",
		"at most 20% in 3 sessions":                     "40 10",
		"at most 12% in 3 sessions":                     "32 5",
		"below 90% in 3 sessions":                       "100 80",
		"90% with help up to model in 3 sessions":       "70 95",
		"80% in 3 sessions, across 2 people":            "60 90",
		"80% in 3 sessions, 4 or more trials":           "60 90",
		"80% in 3 sessions, probes only, across 3 days": "60 90",
	} {
		a := mustLuck(t, text, 10)
		if got := fmt.Sprint(a.Unlearnt.Percent, " ", a.Learnt.Percent); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// TestLuckAgreesWithOdds checks that a row is what Odds returns for the same
// accuracy.
func TestLuckAgreesWithOdds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := Criterion{
			Goal: Goal{
				Number:     exact.Int(rapid.Int64Range(0, 100).Draw(t, "percent")),
				Comparison: rapid.SampledFrom([]Comparison{AtLeast, AtMost, Below, Above}).Draw(t, "comparison"),
			},
			Window: windows().Draw(t, "window"),
		}
		trials := rapid.IntRange(1, 80).Draw(t, "trials")
		a := mustLuck(t, c.String(), trials)
		for _, row := range []LuckRow{a.Unlearnt, a.Learnt} {
			odds := mustOdds(t, OddsQuestion{
				Criterion: c.String(), Trials: trials, Accuracy: []exact.Rat{row.Percent.Quo(exact.Int(100))}, Sessions: []int{10, 20},
			})
			if within := odds.Rows[0].Within; math.Abs(within[0]-row.Within10) > 1e-12 || math.Abs(within[1]-row.Within20) > 1e-12 {
				t.Fatalf("%s, %d trials: %+v, odds %v", c, trials, row, within)
			}
		}
	})
}

// TestLuckDecidesExactly checks a probability that floats cannot tell from the
// limit.
func TestLuckDecidesExactly(t *testing.T) {
	t.Parallel()
	l := luck{
		trials: 1, asked: true, tail: newSessionOdds(newYardstick(Goal{Number: exact.Int(100)}, nil, nil), 1),
		wait: newWindowOdds(Window{Need: 3}, []int{10, 20}),
	}
	row := l.row(exact.Int(50))
	tiny := exact.Frac(1, 1_000_000_000_000_000_000)
	for want, limit := range map[int]exact.Rat{
		0: exact.Frac(65, 128), 1: exact.Frac(65, 128).Sub(tiny), -1: exact.Frac(65, 128).Add(tiny),
	} {
		if got := l.compare(row, limit); got != want {
			t.Errorf("%v against %s: %d, want %d", row.Within10, limit, got, want)
		}
	}
}

func TestLuckErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path string
		q    LuckQuestion
	}{
		{"criterion", LuckQuestion{Criterion: "good", Trials: 10}},
		{"criterion", LuckQuestion{Criterion: "first trial correct in 3 sessions", Trials: 10}},
		{"criterion", LuckQuestion{Criterion: "80% in 3 sessions, each target", Trials: 10}},
		{"criterion", LuckQuestion{Criterion: "80% in 3 sessions, and 2 errors", Trials: 10}},
		{"criterion", LuckQuestion{Criterion: "80% in 15 sessions", Trials: 10}},
		{"trials", LuckQuestion{Criterion: "80% in 3 sessions"}},
		{"trials", LuckQuestion{Criterion: "80% in 3 sessions", Trials: 10_001}},
		{"help_levels[0]", LuckQuestion{Criterion: "80% in 3 sessions", Trials: 10, HelpLevels: []string{""}}},
	} {
		_, err := Luck(c.q)
		var wrong *InputError
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%+v: %v", c.q, err)
		}
	}
}
