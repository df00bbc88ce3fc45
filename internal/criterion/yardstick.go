package criterion

import (
	"newel/internal/exact"
	"newel/internal/measure"
)

// yardstick measures sessions by one goal.
type yardstick struct {
	goal    Goal
	limit   exact.Rat
	rank    int // the most help with which a trial counts as correct
	lower   bool
	targets []string // the step's targets if each must meet the goal; otherwise nil
	scale   measure.Scale
}

func newYardstick(g Goal, scale measure.Scale, targets []string) *yardstick {
	rank, _ := scale.Rank(g.Level)
	return &yardstick{
		goal: g, limit: g.Limit(), rank: rank, lower: g.LowerIsBetter(),
		targets: targets, scale: scale,
	}
}

// value returns a session's plain value. ok is false if it has no data.
func (y *yardstick) value(s *Session) (measure.Value, bool) {
	return y.valueWith(s, y.rank)
}

// ruleValue returns the value that flag rules compare. For accuracy in a
// session with planned help, trials correct with no more than the planned help
// count as correct too.
func (y *yardstick) ruleValue(s *Session) (measure.Value, bool) {
	planned, _ := y.scale.Rank(s.PlannedHelp)
	return y.valueWith(s, max(y.rank, planned))
}

func (y *yardstick) valueWith(s *Session, rank int) (measure.Value, bool) {
	switch y.goal.Measure {
	case Accuracy:
		if y.targets != nil {
			return measure.WorstAccuracy(s.Trials, y.targets, y.scale, rank, y.lower)
		}
		return measure.Accuracy(s.Trials, y.scale, rank)
	case Intervals:
		return measure.Intervals(s.Intervals)
	case Rate:
		return measure.Rate(s.Count, s.ObservedS)
	case TotalDuration:
		return measure.TotalDuration(s.DurationsS)
	case MeanDuration:
		return measure.MeanDuration(s.DurationsS)
	case LongestDuration:
		return measure.LongestDuration(s.DurationsS)
	case Latency:
		return measure.Latency(s.Trials)
	case Recovery:
		return measure.Recovery(s.Trials)
	case Errors:
		return measure.Errors(s.Trials)
	}
	if y.targets != nil {
		return measure.FirstTrialOfEach(s.Trials, y.targets)
	}
	return measure.FirstTrial(s.Trials)
}

// reached reports whether the value meets the goal, exactly. "Over the limit"
// meets none.
func (y *yardstick) reached(v measure.Value) bool {
	if v.Over {
		return false
	}
	c := v.Number.Cmp(y.limit)
	switch y.goal.Comparison {
	case AtLeast:
		return c >= 0
	case AtMost:
		return c <= 0
	case Below:
		return c < 0
	}
	return c > 0
}

// better returns 1, 0 or -1 as a is better than, equal to or worse than b.
func (y *yardstick) better(a, b measure.Value) int {
	if y.lower {
		return b.Compare(a)
	}
	return a.Compare(b)
}

// lead returns by how much a is better than b, negative if worse. Neither may
// be over the limit.
func (y *yardstick) lead(a, b measure.Value) exact.Rat {
	if y.lower {
		return b.Number.Sub(a.Number)
	}
	return a.Number.Sub(b.Number)
}

// amount returns the required size of a difference from the value of: points
// for percent measures, hundredths of the value for others.
func (y *yardstick) amount(points, hundredths int64, of measure.Value) exact.Rat {
	if y.goal.Measure.Percent() {
		return exact.Int(points)
	}
	return of.Number.Mul(exact.Frac(hundredths, 100))
}

// ascending reports whether the goal is an accuracy with "at least" or "above".
func (y *yardstick) ascending() bool {
	return y.goal.Measure == Accuracy && !y.lower
}
