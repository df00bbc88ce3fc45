package measure

// Sampling says how an interval is looked at.
type Sampling string

// The ways to look at an interval.
const (
	Partial   Sampling = "partial"   // it is scored for any occurrence
	Whole     Sampling = "whole"     // it is scored when filled completely
	Momentary Sampling = "momentary" // its last second is looked at
)

// Bout is one occurrence in whole seconds from the beginning of the observation:
// it covers Start up to End − 1.
type Bout struct {
	Start, End int64
}

// Sampled is what time sampling makes of an observation. Partial intervals
// overestimate time and whole ones underestimate it; momentary ones do neither
// in the long run, but need many intervals (Powell and others 1977; Suen and Ary
// 1989; recalled).
type Sampled struct {
	Scored  int      `json:"scored"` // intervals
	Of      int      `json:"of"`
	Percent *float64 `json:"percent"`
	// TruePercent is the share of seconds that the bouts cover.
	TruePercent *float64 `json:"true_percent"`
}

// Sample scores the intervals of an observation of lengthS seconds, a multiple of
// intervalS. Bouts lie within it and may overlap.
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

func scores(how Sampling, filled int, interval []bool) bool {
	switch how {
	case Partial:
		return filled > 0
	case Whole:
		return filled == len(interval)
	}
	return interval[len(interval)-1]
}

// coveredSeconds tells of each second whether a bout covers it.
func coveredSeconds(bouts []Bout, lengthS int64) []bool {
	begun := make([]int, lengthS+1) // less those that ended, at each second
	for _, b := range bouts {
		begun[b.Start]++
		begun[b.End]--
	}
	covered, open := make([]bool, lengthS), 0
	for s := range covered {
		open += begun[s]
		covered[s] = open > 0
	}
	return covered
}
