package criterion

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"newel/internal/exact"
)

// TestStrengthAtItsLimits checks where thin evidence becomes fair, and fair
// evidence good.
func TestStrengthAtItsLimits(t *testing.T) {
	t.Parallel()
	for p, want := range map[float64]Strength{0.799999: Thin, 0.80: Fair, 0.949999: Fair, 0.95: Good} {
		if got := strengthOf(p); got != want {
			t.Errorf("%v: %s, want %s", p, got, want)
		}
	}
}

// TestEvidenceOfTheWindowOnly checks that evidence of the last n sessions leaves
// out those before them, and counts the one among them that did not qualify.
func TestEvidenceOfTheWindowOnly(t *testing.T) {
	t.Parallel()
	r := mustEvaluate(t, caseOf("80% independent in 3 of the last 4 sessions", series("0/5 1/5 4/5 2/5 5/5 4/5")...))
	if r.Evidence == nil || r.Evidence.Correct != 15 || r.Evidence.Trials != 20 {
		t.Errorf("%+v, want 15 of 20", r.Evidence)
	}
}

// TestMetAtTheFirstSession checks that nothing is said about progress after a
// criterion was met, even by the very first session.
func TestMetAtTheFirstSession(t *testing.T) {
	t.Parallel()
	r := mustEvaluate(t, caseOf("80% independent in 1 session", join(series("9/10"), times(14, "5/10"))...))
	if _, flat := r.Flag(Flat); flat || r.MetBy == nil || *r.MetBy != "s1" {
		t.Errorf("met by %v, flags %v", r.MetBy, r.Flags)
	}
	if r.Progress != nil || r.Forecast != nil || len(r.Lacking) > 0 || r.IdleFrom != nil || r.Run.Have != 1 {
		t.Errorf("after it was met: progress %v, forecast %v, lacking %v, idle from %v, run %v", r.Progress, r.Forecast, r.Lacking, r.IdleFrom, r.Run)
	}
}

// TestStepBackAtItsLeastTrials checks that a session with exactly as many
// trials as the rule asks for counts, and one with fewer does not.
func TestStepBackAtItsLeastTrials(t *testing.T) {
	t.Parallel()
	for words, want := range map[string]bool{"2/5": true, "1/4": false} {
		c := caseOf("80% independent in 3 sessions in a row", times(2, words)...)
		c.StepBack = "below 50% in 2 sessions in a row, 5 or more trials"
		r := mustEvaluate(t, c)
		if _, got := r.Flag(StepBack); got != want {
			t.Errorf("two sessions of %s: raised %t, want %t", words, got, want)
		}
	}
}

// TestOddsAtTheirLimits checks that the largest questions are accepted, and
// that the next larger one is refused where it says so.
func TestOddsAtTheirLimits(t *testing.T) {
	t.Parallel()
	many := func(n int) []exact.Rat { return slices.Repeat([]exact.Rat{exact.Frac(1, 2)}, n) }
	const goal = "80% in 3 sessions in a row"
	for _, c := range []struct {
		name, path, message string
		q                   OddsQuestion
	}{
		{"the longest window", "", "", OddsQuestion{Criterion: "80% in 14 sessions in a row", Trials: 1}},
		{"the most trials", "", "", OddsQuestion{Criterion: goal, Trials: maxOddsTrials}},
		{"the most accuracies", "", "", OddsQuestion{Criterion: goal, Trials: 1, Accuracy: many(maxOddsAccuracies)}},
		{"one accuracy too many", "accuracy", "at most", OddsQuestion{Criterion: goal, Trials: 1, Accuracy: many(maxOddsAccuracies + 1)}},
		{"no session, and the most", "", "", OddsQuestion{Criterion: goal, Trials: 1, Sessions: []int{0, maxOddsSessions}}},
		{"one session too many", "sessions[0]", "from 0 to", OddsQuestion{Criterion: goal, Trials: 1, Sessions: []int{maxOddsSessions + 1}}},
		{"counted once for all", "", "", OddsQuestion{Criterion: goal, Trials: 1, Accuracy: many(maxOddsAccuracies), Sessions: []int{maxCounted}}},
		{"as many steps as allowed", "", "", OddsQuestion{Criterion: goal, Trials: 1, Accuracy: many(maxOddsSteps / maxOddsSessions), Sessions: []int{maxOddsSessions}}},
		{
			"too many steps", "sessions[0]", fmt.Sprintf("for %d values of accuracy, must be at most %d", maxOddsSteps/maxOddsSessions+1, maxOddsSteps/(maxOddsSteps/maxOddsSessions+1)),
			OddsQuestion{Criterion: goal, Trials: 1, Accuracy: many(maxOddsSteps/maxOddsSessions + 1), Sessions: []int{maxOddsSessions}},
		},
	} {
		_, err := c.q.check()
		if c.path == "" && err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if wrong, is := errors.AsType[*InputError](err); c.path != "" && (!is || wrong.Path != c.path || !strings.Contains(wrong.Error(), c.message)) {
			t.Errorf("%s: %v, want %s: … %s", c.name, err, c.path, c.message)
		}
	}
}

// TestOddsOfShortAndLongWaits checks that counting the sequences once for all
// accuracies and stepping through the sessions have the same result.
func TestOddsOfShortAndLongWaits(t *testing.T) {
	t.Parallel()
	w := Window{Need: 3}
	short, long := newWindowOdds(w, []int{10, maxCounted}), newWindowOdds(w, []int{10, maxCounted + 1})
	if short.hits == nil || long.hits != nil {
		t.Error("64 sessions are counted, 65 are stepped through")
	}
	for _, p := range []float64{0.1, 0.5, 0.9} {
		if a, b := short.within(p)[10], long.within(p)[10]; math.Abs(a-b) > 1e-12 {
			t.Errorf("at %v: %v counted, %v stepped", p, a, b)
		}
	}
}

// TestUnreachableGoals checks the goals that no session meets: below the least
// and above the greatest value.
func TestUnreachableGoals(t *testing.T) {
	t.Parallel()
	for goal, want := range map[Goal]bool{
		{Measure: Accuracy, Comparison: Below, Number: exact.Int(0)}:     true,
		{Measure: Accuracy, Comparison: Below, Number: exact.Int(1)}:     false,
		{Measure: Accuracy, Comparison: AtLeast, Number: exact.Int(0)}:   false,
		{Measure: Accuracy, Comparison: Above, Number: exact.Int(100)}:   true,
		{Measure: Accuracy, Comparison: Above, Number: exact.Int(99)}:    false,
		{Measure: Accuracy, Comparison: Above, Number: exact.Int(101)}:   true,
		{Measure: Accuracy, Comparison: AtLeast, Number: exact.Int(100)}: false,
		{Measure: Errors, Comparison: Above, Number: exact.Int(100)}:     false,
	} {
		if got := goal.Unreachable(); got != want {
			t.Errorf("%v: %t, want %t", goal, got, want)
		}
	}
}

// TestGoalPartsInWords checks that a form's goal names its comparison, unless it
// is the usual one.
func TestGoalPartsInWords(t *testing.T) {
	t.Parallel()
	for compare, want := range map[string]string{
		"": "80% independent", "at least": "80% independent", "above": "above 80% independent", "below": "below 80% independent",
	} {
		if got := (GoalParts{Form: FormAlone, Compare: compare, Number: "80"}).String(); got != want {
			t.Errorf("%q: %q, want %q", compare, got, want)
		}
	}
	for n, want := range map[int]int{1: 1, 5: 4, 10: 8} {
		goal := Goal{Measure: Accuracy, Comparison: AtLeast, Number: exact.Int(80)}
		if k, ok := goal.LeastCorrect(n); k != want || !ok {
			t.Errorf("of %d: %d, %t, want %d", n, k, ok, want)
		}
	}
}

// TestLongPartsAreShortened checks that an error quotes 120 characters of what
// it could not read, and no more.
func TestLongPartsAreShortened(t *testing.T) {
	t.Parallel()
	whole := strings.Repeat("ü", maxPart)
	if got := shorten(whole); got != whole {
		t.Errorf("%d characters were shortened: %q", maxPart, got)
	}
	if got := shorten(whole + "x"); got != whole+"…" {
		t.Errorf("%d characters: %q", maxPart+1, got)
	}
}

// TestLuckAsksForTheCriterionsTrials checks that exactly as many trials as the
// criterion asks for can meet it, and that fewer never do.
func TestLuckAsksForTheCriterionsTrials(t *testing.T) {
	t.Parallel()
	for trials, want := range map[int]bool{5: true, 4: false} {
		a, err := Luck(LuckQuestion{Criterion: "80% independent in 2 sessions in a row, 5 or more trials", Trials: trials})
		if err != nil || (a.Learnt.Within10 > 0) != want {
			t.Errorf("%d trials: %+v, %v", trials, a, err)
		}
	}
}

// TestErrorsNameWhatTheyCan checks that errors quote the part of the text and
// name the field, and leave out what there is not.
func TestErrorsNameWhatTheyCan(t *testing.T) {
	t.Parallel()
	parse := ParseError{Reason: "is missing", Example: "80%"}
	input := InputError{Err: errors.New("is not JSON")}
	if got := parse.Error() + "; " + input.Error(); got != "is missing; for example: 80%; is not JSON" {
		t.Error(got)
	}
	parse.Part, input.Path = "many", "trials"
	if got := parse.Error() + "; " + input.Error(); got != `"many": is missing; for example: 80%; trials: is not JSON` {
		t.Error(got)
	}
}

// TestPartsInWords checks single sessions and minutes.
func TestPartsInWords(t *testing.T) {
	t.Parallel()
	goal := GoalParts{Form: FormTotal, Number: "2", Unit: "minutes", Compare: "at most"}
	for p, want := range map[Parts]string{
		{Goal: goal, Need: "1"}: "at most 2 minutes in total in 1 session",
		{Goal: goal, Need: "2"}: "at most 2 minutes in total in 2 sessions in a row",
	} {
		if got := p.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if c, err := Parse("80% INDEPENDENT IN 3 SESSIONS IN A ROW", Vocabulary{}); err != nil || c.String() != "80% independent in 3 sessions in a row" {
		t.Errorf("capitals: %v, %v", c, err)
	}
	if _, err := Parse("at most 999999999 errors in 3 sessions in a row", Vocabulary{}); err != nil {
		t.Error(err)
	}
}
