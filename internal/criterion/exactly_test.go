package criterion

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// TestGoalsAreDecidedExactly compares whether sessions qualify with
// cross-multiplied whole numbers: k of n is at least a goal of m millionths of a
// percent if k × 100,000,000 is at least m × n.
func TestGoalsAreDecidedExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "trials")
		k := rapid.IntRange(0, n).Draw(t, "correct")
		// The goal is near the session's value, at most a millionth away.
		millionths := 100_000_000*k/n + rapid.IntRange(-1, 1).Draw(t, "beside")
		if millionths < 0 || millionths > 100_000_000 {
			return
		}
		value, goal := k*100_000_000, millionths*n
		for comparison, want := range map[string]bool{
			"at least": value >= goal, "at most": value <= goal, "below": value < goal, "above": value > goal,
		} {
			text := fmt.Sprintf("%s %d.%06d%% in 1 session", comparison, millionths/1_000_000, millionths%1_000_000)
			if got := mustEvaluate(t, caseOf(text, fmt.Sprintf("%d/%d", k, n))).Sessions[0].Qualifies; got != want {
				t.Fatalf("%d of %d, %s: qualifies %t, want %t", k, n, text, got, want)
			}
		}
	})
}

// TestExactlyAtRoundPercents checks shares that are exactly a goal, though not
// every way to compute them with floats is: 4 of 5 is 80 %, 7 of 25 is 28 %, and
// 2 of 3 is neither 66.7 % nor 66.666667 %.
func TestExactlyAtRoundPercents(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		session, goal string
		atLeast       bool
		above         bool
	}{
		{"4/5", "80", true, false},
		{"40/50", "80.0", true, false},
		{"7/25", "28", true, false},
		{"29/100", "29", true, false},
		{"57/100", "57", true, false},
		{"1/8", "12.5", true, false},
		{"1/3", "33.333333", true, true},
		{"2/3", "66.666666", true, true},
		{"2/3", "66.666667", false, false},
		{"2/3", "66.7", false, false},
		{"999/1000", "99.9", true, false},
	} {
		for comparison, want := range map[string]bool{"at least": c.atLeast, "above": c.above} {
			text := fmt.Sprintf("%s %s%% in 1 session", comparison, c.goal)
			if got := mustEvaluate(t, caseOf(text, c.session)).Sessions[0].Qualifies; got != want {
				t.Errorf("%s, %s: qualifies %t, want %t", c.session, text, got, want)
			}
		}
	}
}
