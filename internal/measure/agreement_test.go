package measure

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/exact"
)

// TestAgreementProperties checks that the order of observers does not matter,
// that each observer agrees with themselves, and that percentages are between 0
// and 100.
func TestAgreementProperties(t *testing.T) {
	t.Parallel()
	within := func(t *rapid.T, percentages ...*float64) {
		for _, p := range percentages {
			if p != nil && (*p < 0 || *p > 100) {
				t.Fatalf("%v percent", *p)
			}
		}
	}
	same := func(t *rapid.T, a, b any) {
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatal(diff)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(t, "n")
		var counts [2][]int64
		var marks [2][]bool
		var codes [2][]string
		var times [2][]exact.Rat
		for who := range 2 {
			counts[who] = rapid.SliceOfN(rapid.Int64Range(0, 4), n, n).Draw(t, "counts")
			marks[who] = rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "marks")
			codes[who] = rapid.SliceOfN(rapid.SampledFrom([]string{"+", "-", "p"}), n, n).Draw(t, "codes")
			for range n {
				times[who] = append(times[who], exact.Frac(rapid.Int64Range(0, 90).Draw(t, "tenths"), 10))
			}
		}
		c := AgreeOnCounts(counts[0], counts[1])
		i := AgreeOnIntervals(marks[0], marks[1])
		k := AgreeByNumber(codes[0], codes[1])
		d := AgreeOnDurations(times[0], times[1])
		same(t, c, AgreeOnCounts(counts[1], counts[0]))
		same(t, i, AgreeOnIntervals(marks[1], marks[0]))
		same(t, k, AgreeByNumber(codes[1], codes[0]))
		same(t, d, AgreeOnDurations(times[1], times[0]))
		within(t, c.Total, c.MeanPerInterval, c.ExactPerInterval, i.Interval, i.Scored, i.Unscored, k.Trial, d.Total, d.MeanPerOccurrence)
		if k.Kappa != nil && (*k.Kappa < -1 || *k.Kappa > 1) {
			t.Fatalf("κ %v", *k.Kappa)
		}
		if n == 0 {
			same(t, c, CountAgreement{})
			same(t, d, DurationAgreement{})
			same(t, i, IntervalAgreement{})
			same(t, k, TrialAgreement{Pairs: []Pair{}})
			return
		}
		self := AgreeByNumber(codes[0], codes[0])
		if *self.Trial != 100 || self.Kappa != nil && *self.Kappa != 1 || *AgreeOnCounts(counts[0], counts[0]).MeanPerInterval != 100 || *AgreeOnDurations(times[0], times[0]).Total != 100 {
			t.Fatal("an observer does not agree with themselves")
		}
	})
}

// TestUnequalRecords checks what is left over if one observer recorded more.
func TestUnequalRecords(t *testing.T) {
	t.Parallel()
	for n, want := range map[[2]int]Unmatched{{3, 1}: {First: 2}, {1, 3}: {Second: 2}, {2, 2}: {}} {
		first, second := n[0], n[1]
		if got := AgreeOnCounts(make([]int64, first), make([]int64, second)).Unmatched; got != want {
			t.Errorf("counts of %d and %d intervals: %+v, want %+v", first, second, got, want)
		}
		if got := AgreeOnIntervals(make([]bool, first), make([]bool, second)).Unmatched; got != want {
			t.Errorf("%d and %d intervals: %+v, want %+v", first, second, got, want)
		}
		if got := AgreeOnDurations(make([]exact.Rat, first), make([]exact.Rat, second)).Unmatched; got != want {
			t.Errorf("%d and %d durations: %+v, want %+v", first, second, got, want)
		}
		if got := AgreeOnTrials(make([]Observed, first), make([]Observed, second)).Unmatched; got != want {
			t.Errorf("%d and %d trials: %+v, want %+v", first, second, got, want)
		}
	}
	// One duration of three was timed by both: 100, 0 and 0 percent.
	third := 100.0 / 3
	if got := AgreeOnDurations(rats("5", "1", "9"), rats("5")).MeanPerOccurrence; *got != third {
		t.Errorf("mean per occurrence %v, want %v", *got, third)
	}
}

// TestIntervalShares works out one record by hand: both, first only, second
// only, neither, neither.
func TestIntervalShares(t *testing.T) {
	t.Parallel()
	got := AgreeOnIntervals([]bool{true, true, false, false, false}, []bool{true, false, true, false, false})
	for name, c := range map[string]struct{ got, want float64 }{
		"interval": {*got.Interval, 60},
		"scored":   {*got.Scored, 100.0 / 3},
		"unscored": {*got.Unscored, 50},
		"κ":        {*got.Kappa, 1.0 / 6}, // (3/5 − 13/25) ÷ (1 − 13/25)
	} {
		if c.got != c.want {
			t.Errorf("%s %v, want %v", name, c.got, c.want)
		}
	}
}

// TestKappaByHand uses a table of 20 yes–yes, 5 yes–no, 10 no–yes and 15 no–no:
// p_o is 35/50, p_e is (25·30 + 25·20)/50², so κ is 0.4.
func TestKappaByHand(t *testing.T) {
	t.Parallel()
	var first, second []bool
	for answers, n := range map[[2]bool]int{{true, true}: 20, {true, false}: 5, {false, true}: 10, {false, false}: 15} {
		for range n {
			first, second = append(first, answers[0]), append(second, answers[1])
		}
	}
	if got := Kappa(first, second); got == nil || *got != 0.4 {
		t.Errorf("κ %v, want 0.4", got)
	}
	if got := Kappa([]bool{true, true}, []bool{false, false}); got == nil || *got != 0 {
		t.Errorf("κ of opposite constants %v, want 0", got)
	}
}
