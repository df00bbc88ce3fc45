package criterion

import "testing"

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
