package observation

import "newel/internal/measure"

// Sampling is the way intervals are sampled.
type Sampling string

// The sampling methods.
const (
	Partial   Sampling = "partial"   // scored if it occurs at all
	Whole     Sampling = "whole"     // scored if it fills the interval
	Momentary Sampling = "momentary" // scored if it occurs in the last second
)

// Bout is one occurrence, in whole seconds from the start of the observation.
// It covers Start through End − 1.
type Bout struct {
	Start, End int64
}

// Sampled is the result of time sampling an observation. Partial-interval
// sampling overestimates time and whole-interval sampling underestimates it.
// Momentary sampling does neither in the long run but needs many intervals
// (Powell and others 1977; Suen and Ary 1989; recalled).
type Sampled struct {
	Scored  int      `json:"scored"` // intervals
	Of      int      `json:"of"`
	Percent *float64 `json:"percent"`
	// TruePercent is the share of seconds that the bouts cover.
	TruePercent *float64 `json:"true_percent"`
}

// Sample scores the intervals of an observation of lengthS seconds, which must
// be a multiple of intervalS. Bouts must be within the observation and may
// overlap.
func Sample(bouts []Bout, lengthS, intervalS int64, how Sampling) Sampled {
	covered := coveredSeconds(bouts, lengthS)
	out, filledS := Sampled{}, 0
	for from := int64(0); from < lengthS; from += intervalS {
		interval := covered[from : from+intervalS]
		filled := 0
		for _, yes := range interval {
			if yes {
				filled++
			}
		}
		filledS += filled
		out.Of++
		if scores(how, filled, interval) {
			out.Scored++
		}
	}
	out.Percent = percentOf(out.Scored, out.Of)
	out.TruePercent = percentOf(filledS, int(lengthS))
	return out
}

func percentOf(part, whole int) *float64 {
	v, ok := measure.Percent(part, whole)
	if !ok {
		return nil
	}
	f := v.Number.Float64()
	return &f
}

func scores(how Sampling, filled int, interval []bool) bool {
	switch how {
	case Partial:
		return filled > 0
	case Whole:
		return filled == len(interval)
	}
	return interval[len(interval)-1]
}

// coveredSeconds reports for each second whether a bout covers it.
func coveredSeconds(bouts []Bout, lengthS int64) []bool {
	started := make([]int, lengthS+1) // starts minus ends at each second
	for _, b := range bouts {
		started[b.Start]++
		started[b.End]--
	}
	covered, open := make([]bool, lengthS), 0
	for s := range covered {
		open += started[s]
		covered[s] = open > 0
	}
	return covered
}
