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

// Unmatched is what every comparison reports besides its figures.
type Unmatched struct {
	// Why is the reason why there are no figures: Afterwards, or empty.
	Why string `json:"why"`
	// First and Second are how many entries only that observer has.
	First  int `json:"unmatched_first"`
	Second int `json:"unmatched_second"`
}

// Afterwards is why a comparison has no figures if a record was written
// afterwards, from memory: it is not an observation.
const Afterwards = "afterwards"

// FromMemory is the result for two records of which at least one was written
// afterwards. Nothing is compared.
func FromMemory() Unmatched { return Unmatched{Why: Afterwards} }

// CountAgreement compares counts interval by interval.
type CountAgreement struct {
	// Total is the smaller sum ÷ the larger; 100 if both are 0. Counts that
	// agree in total need not be of the same responses.
	Total *float64 `json:"total"`
	// MeanPerInterval is the mean over intervals of smaller ÷ larger.
	MeanPerInterval *float64 `json:"mean_per_interval"`
	// ExactPerInterval is the share of intervals with equal counts.
	ExactPerInterval *float64 `json:"exact_per_interval"`
	Unmatched
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
	Unmatched
}

// TrialAgreement compares the codes of trials.
type TrialAgreement struct {
	// Trial is the share of trials with the same code. A trial that only one
	// observer recorded counts as a disagreement.
	Trial *float64 `json:"trial"`
	// Paired is the share with the same code among the trials that both
	// recorded.
	Paired *float64 `json:"paired"`
	Kappa  *float64 `json:"kappa"` // of the trials that both recorded; see Kappa
	Unmatched
	// Pairs lists every trial once, in order; nil if nothing was compared.
	Pairs []Pair `json:"pairs,omitzero"`
}

// DurationAgreement compares times, in seconds, of the same occurrences.
type DurationAgreement struct {
	Total *float64 `json:"total"` // shorter ÷ longer of the two sums, over all occurrences
	// MeanPerOccurrence is the mean of shorter ÷ longer. An occurrence that
	// only one observer timed counts as 0.
	MeanPerOccurrence *float64 `json:"mean_per_occurrence"`
	Unmatched
}

// AgreeOnCounts compares counts by number, over the intervals that both
// observers have.
func AgreeOnCounts(first, second []int64) CountAgreement {
	both, left := inCommon(len(first), len(second))
	a, b := wholes(first[:both]), wholes(second[:both])
	equal := 0
	for i := range a {
		if a[i].Equal(b[i]) {
			equal++
		}
	}
	return CountAgreement{
		Total: totalRatio(a, b), MeanPerInterval: meanRatio(ratios(a, b)), ExactPerInterval: percentOf(equal, both), Unmatched: left,
	}
}

// inCommon returns how many entries both lists have, and what one of them has
// more.
func inCommon(first, second int) (both int, left Unmatched) {
	both = min(first, second)
	return both, Unmatched{First: first - both, Second: second - both}
}

// AgreeOnDurations compares the times of the same occurrences: by number if
// there are equally many, else in order, with the fewest left over and, among
// those, the smallest sum of differences. Lists of unequal length may have up
// to MaxAligned entries each.
func AgreeOnDurations(first, second []exact.Rat) DurationAgreement {
	out := DurationAgreement{}
	if len(first)+len(second) == 0 {
		return out
	}
	each := make([]exact.Rat, 0, max(len(first), len(second)))
	for _, p := range durationPairs(first, second) {
		switch {
		case p.Second < 0:
			out.First++
			each = append(each, exact.Rat{})
		case p.First < 0:
			out.Second++
			each = append(each, exact.Rat{})
		default:
			each = append(each, ratio(first[p.First], second[p.Second]))
		}
	}
	out.Total, out.MeanPerOccurrence = hundredfold(ratio(stat.SumOf(first), stat.SumOf(second))), meanRatio(each)
	return out
}

// AgreeOnIntervals compares marks by number, over the intervals that both
// observers have.
func AgreeOnIntervals(first, second []bool) IntervalAgreement {
	n, left := inCommon(len(first), len(second))
	first, second = first[:n], second[:n]
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
		Interval:  percentOf(both+neither, n),
		Scored:    percentOf(both, both+one),
		Unscored:  percentOf(neither, neither+one),
		Kappa:     Kappa(first, second),
		Unmatched: left,
	}
}

// AgreeOnTrials pairs the trials of two observers (see MatchingOf) and compares
// their codes. Lists that are not matched by key may have up to MaxAligned
// entries each.
func AgreeOnTrials(first, second []Observed) TrialAgreement {
	return agreeOn(trialPairs(first, second), func(p Pair) (a, b string) { return first[p.First].Code, second[p.Second].Code })
}

// AgreeByNumber compares codes by number. The lists must have equal length.
func AgreeByNumber(first, second []string) TrialAgreement {
	return agreeOn(byNumber(len(first)), func(p Pair) (a, b string) { return first[p.First], second[p.Second] })
}

func agreeOn(pairs []Pair, codes func(Pair) (a, b string)) TrialAgreement {
	out := TrialAgreement{Pairs: pairs}
	same := 0
	var first, second []string
	for _, p := range pairs {
		switch {
		case p.Second < 0:
			out.First++
		case p.First < 0:
			out.Second++
		default:
			a, b := codes(p)
			first, second = append(first, a), append(second, b)
			if a == b {
				same++
			}
		}
	}
	out.Trial, out.Paired, out.Kappa = percentOf(same, len(pairs)), percentOf(same, len(first)), Kappa(first, second)
	return out
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

func ratios(a, b []exact.Rat) []exact.Rat {
	out := make([]exact.Rat, len(a))
	for i := range a {
		out[i] = ratio(a[i], b[i])
	}
	return out
}

// meanRatio returns the mean of ratios in percent, or nil if there are none.
func meanRatio(of []exact.Rat) *float64 {
	mean, ok := stat.MeanOf(of)
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
