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
