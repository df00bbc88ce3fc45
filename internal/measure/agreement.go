package measure

import (
	"newel/internal/exact"
	"newel/internal/stat"
)

// The agreement of two observers who recorded the same session independently.
// Percentages are 0–100 and κ is −1–1. Formulas as in Cooper, Heron and Heward
// (recalled; several also seen in copies of Reed and Azulay 2011). A result
// that does not exist is nil. If neither observer saw anything, they agree
// fully on counts and times, but there are no scored intervals for them to
// agree on.

// CountAgreement compares counts interval by interval.
type CountAgreement struct {
	// Total is the smaller sum ÷ the larger; 100 if both are 0. Counts that
	// agree in total need not be of the same responses.
	Total *float64 `json:"total"`
	// MeanPerInterval is the mean over intervals of smaller ÷ larger.
	MeanPerInterval *float64 `json:"mean_per_interval"`
	// ExactPerInterval is the share of intervals with equal counts.
	ExactPerInterval *float64 `json:"exact_per_interval"`
}

// IntervalAgreement compares marked intervals.
type IntervalAgreement struct {
	// Interval is the share of intervals that both or neither marked.
	Interval *float64 `json:"interval"`
	// Scored is the share marked by both among the intervals marked by either;
	// nil if there are none.
	Scored *float64 `json:"scored"`
	// Unscored is the share unmarked by both among the intervals unmarked by
	// either; nil if there are none.
	Unscored *float64 `json:"unscored"`
	Kappa    *float64 `json:"kappa"` // see Kappa
}

// TrialAgreement compares the codes of trials.
type TrialAgreement struct {
	Trial *float64 `json:"trial"` // the share of trials with the same code
	Kappa *float64 `json:"kappa"` // see Kappa
}

// DurationAgreement compares times, in seconds, of the same occurrences.
type DurationAgreement struct {
	Total             *float64 `json:"total"` // shorter ÷ longer of the two sums
	MeanPerOccurrence *float64 `json:"mean_per_occurrence"`
}

// AgreeOnCounts compares counts for the same intervals. The lists must have
// equal length.
func AgreeOnCounts(first, second []int64) CountAgreement {
	a, b := wholes(first), wholes(second)
	equal := 0
	for i := range a {
		if a[i].Equal(b[i]) {
			equal++
		}
	}
	return CountAgreement{
		Total: totalRatio(a, b), MeanPerInterval: meanRatio(a, b), ExactPerInterval: percentOf(equal, len(a)),
	}
}

// AgreeOnDurations compares the times of the same occurrences. The lists must
// have equal length.
func AgreeOnDurations(first, second []exact.Rat) DurationAgreement {
	return DurationAgreement{Total: totalRatio(first, second), MeanPerOccurrence: meanRatio(first, second)}
}

// AgreeOnIntervals compares marks for the same intervals. The lists must have
// equal length.
func AgreeOnIntervals(first, second []bool) IntervalAgreement {
	both, one, neither := 0, 0, 0
	for i := range first {
		switch {
		case first[i] != second[i]:
			one++
		case first[i]:
			both++
		default:
			neither++
		}
	}
	return IntervalAgreement{
		Interval: percentOf(both+neither, len(first)),
		Scored:   percentOf(both, both+one),
		Unscored: percentOf(neither, neither+one),
		Kappa:    Kappa(first, second),
	}
}

// AgreeOnTrials compares codes for the same trials. The lists must have equal
// length.
func AgreeOnTrials(first, second []string) TrialAgreement {
	same := 0
	for i := range first {
		if first[i] == second[i] {
			same++
		}
	}
	return TrialAgreement{Trial: percentOf(same, len(first)), Kappa: Kappa(first, second)}
}

// Kappa returns Cohen's κ = (p_o − p_e) ÷ (1 − p_e), where p_o is the share of
// equal codes and p_e the share expected by chance from how often each observer
// used each code (Cohen 1960). It returns nil if p_e is 1 or there is nothing
// to compare. The lists must have equal length.
func Kappa[Code comparable](first, second []Code) *float64 {
	n, same := int64(len(first)), int64(0)
	counts := map[Code][2]int64{}
	for i := range first {
		if first[i] == second[i] {
			same++
		}
		c := counts[first[i]]
		c[0]++
		counts[first[i]] = c
		c = counts[second[i]]
		c[1]++
		counts[second[i]] = c
	}
	chance := int64(0) // p_e · n²
	for _, c := range counts {
		chance += c[0] * c[1]
	}
	if chance == n*n {
		return nil
	}
	k := exact.Frac(same*n-chance, n*n-chance).Float64()
	return &k
}

// ratio returns smaller ÷ larger of two non-negative values; two zeros are
// equal.
func ratio(a, b exact.Rat) exact.Rat {
	switch a.Cmp(b) {
	case 0:
		return exact.Int(1)
	case 1:
		a, b = b, a
	}
	return a.Quo(b)
}

func totalRatio(a, b []exact.Rat) *float64 {
	if len(a) == 0 {
		return nil
	}
	return hundredfold(ratio(stat.SumOf(a), stat.SumOf(b)))
}

func meanRatio(a, b []exact.Rat) *float64 {
	ratios := make([]exact.Rat, len(a))
	for i := range a {
		ratios[i] = ratio(a[i], b[i])
	}
	mean, ok := stat.MeanOf(ratios)
	if !ok {
		return nil
	}
	return hundredfold(mean)
}

func hundredfold(share exact.Rat) *float64 {
	f := exact.Int(100).Mul(share).Float64()
	return &f
}

func percentOf(part, whole int) *float64 {
	v, ok := Percent(part, whole)
	if !ok {
		return nil
	}
	f := v.Number.Float64()
	return &f
}

func wholes(counts []int64) []exact.Rat {
	out := make([]exact.Rat, len(counts))
	for i, c := range counts {
		out[i] = exact.Int(c)
	}
	return out
}
