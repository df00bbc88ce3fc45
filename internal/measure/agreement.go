package measure

import (
	"newel/internal/exact"
	"newel/internal/stat"
)

// The agreement of two observers who recorded the same session, side by side.
// Percentages are 0–100 and κ is −1–1; formulas as Cooper, Heron and Heward give
// them (recalled; several also seen in copies of Reed and Azulay 2011). A result
// that does not exist is nil. Two observers who both saw nothing at all agree in
// full where counts and times are compared, but there are no scored intervals
// for them to agree on.

// CountAgreement compares counts interval by interval.
type CountAgreement struct {
	// Total is smaller ÷ larger of the two sums; both 0: 100. Counts that agree in
	// total need not be of the same responses.
	Total *float64 `json:"total"`
	// MeanPerInterval is the mean over intervals of smaller ÷ larger.
	MeanPerInterval *float64 `json:"mean_per_interval"`
	// ExactPerInterval is the share of intervals with equal counts.
	ExactPerInterval *float64 `json:"exact_per_interval"`
}

// IntervalAgreement compares marked intervals.
type IntervalAgreement struct {
	// Interval is the share of intervals that both marked or both did not.
	Interval *float64 `json:"interval"`
	// Scored is, of the intervals marked by any, the share marked by both; nil if
	// none is marked.
	Scored *float64 `json:"scored"`
	// Unscored is, of the intervals left unmarked by any, the share left by both;
	// nil if none is.
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

// AgreeOnCounts compares counts of the same intervals. The lists are of equal
// length.
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

// AgreeOnDurations compares the times of the same occurrences. The lists are of
// equal length.
func AgreeOnDurations(first, second []exact.Rat) DurationAgreement {
	return DurationAgreement{Total: totalRatio(first, second), MeanPerOccurrence: meanRatio(first, second)}
}

// AgreeOnIntervals compares marks of the same intervals. The lists are of equal
// length.
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

// AgreeOnTrials compares codes of the same trials. The lists are of equal
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

// Kappa is Cohen's κ = (p_o − p_e) ÷ (1 − p_e): p_o is the share of equal codes,
// p_e the share that chance alone would make equal, from how often each used
// each code (Cohen 1960). nil when p_e is 1 or there is nothing to compare. The
// lists are of equal length.
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

// ratio is smaller ÷ larger of two values that are not negative; two zeros are
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
