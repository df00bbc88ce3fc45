package measure

import (
	"slices"

	"newel/internal/exact"
)

func sortValues(values []Value) { slices.SortFunc(values, Value.Compare) }

// Tally returns the number of trials that are correct with no more help than
// the rank most, and the number of scored trials.
func Tally(trials []Trial, scale Scale, most int) (correct, scored int) {
	for i := range trials {
		if !trials[i].Scored() {
			continue
		}
		scored++
		if scale.Within(&trials[i], most) {
			correct++
		}
	}
	return correct, scored
}

// TallyTarget is Tally for the trials of one target.
func TallyTarget(trials []Trial, target string, scale Scale, most int) (correct, scored int) {
	for i := range trials {
		if trials[i].Target != target || !trials[i].Scored() {
			continue
		}
		scored++
		if scale.Within(&trials[i], most) {
			correct++
		}
	}
	return correct, scored
}

// Percent returns 100 × part ÷ whole. ok is false if whole is 0.
func Percent(part, whole int) (v Value, ok bool) {
	if whole == 0 {
		return Value{}, false
	}
	return Of(exact.Frac(100*int64(part), int64(whole))), true
}

// Accuracy returns the percentage of scored trials that are correct with no
// more help than the rank most. ok is false without scored trials.
func Accuracy(trials []Trial, scale Scale, most int) (Value, bool) {
	return Percent(Tally(trials, scale, most))
}

// WorstAccuracy returns the lowest accuracy over the targets, or the highest if
// lower is better. ok is false unless every target has a scored trial.
func WorstAccuracy(trials []Trial, targets []string, scale Scale, most int, lowerIsBetter bool) (worst Value, ok bool) {
	for i, target := range targets {
		v, ok := Percent(TallyTarget(trials, target, scale, most))
		if !ok {
			return Value{}, false
		}
		c := v.Compare(worst)
		if i == 0 || lowerIsBetter && c > 0 || !lowerIsBetter && c < 0 {
			worst = v
		}
	}
	return worst, len(targets) > 0
}

// FirstTrial returns 100 if the first scored trial is correct without help,
// otherwise 0. ok is false without scored trials.
func FirstTrial(trials []Trial) (Value, bool) {
	for i := range trials {
		if trials[i].Scored() {
			return allOrNothing(Scale(nil).Within(&trials[i], 0)), true
		}
	}
	return Value{}, false
}

// FirstTrialOfEach returns 100 if every target's first scored trial is correct
// without help, otherwise 0. ok is false unless every target has a scored
// trial.
func FirstTrialOfEach(trials []Trial, targets []string) (Value, bool) {
	all := true
	for _, target := range targets {
		i := slices.IndexFunc(trials, func(t Trial) bool { return t.Target == target && t.Scored() })
		if i < 0 {
			return Value{}, false
		}
		all = all && Scale(nil).Within(&trials[i], 0)
	}
	return allOrNothing(all), len(targets) > 0
}

func allOrNothing(all bool) Value {
	if all {
		return Of(exact.Int(100))
	}
	return Of(exact.Int(0))
}

// Errors returns the number of scored trials whose outcome is not correct,
// regardless of help. ok is false without scored trials.
func Errors(trials []Trial) (Value, bool) {
	wrong, scored := 0, 0
	for i := range trials {
		if !trials[i].Scored() {
			continue
		}
		scored++
		if trials[i].Outcome != Correct {
			wrong++
		}
	}
	return Of(exact.Int(int64(wrong))), scored > 0
}

// Latency returns the median seconds to the response over the scored trials
// that have a latency, no response within the limit, or the outcome "no
// response" (whose latency, if any, is ignored). The latter two count as over
// the limit. ok is false without such trials.
func Latency(trials []Trial) (Value, bool) {
	values := make([]Value, 0, len(trials))
	for i := range trials {
		t := &trials[i]
		switch {
		case !t.Scored():
		case t.Outcome == NoResponse || t.None:
			values = append(values, Value{Over: true})
		case t.LatencyS != nil:
			values = append(values, Of(*t.LatencyS))
		}
	}
	if len(values) == 0 {
		return Value{}, false
	}
	return Median(values), true
}

// Recovery returns the median seconds until the learner was steady again, over
// the scored trials that have a recovery time or none within the limit, which
// counts as over the limit. ok is false without such trials.
func Recovery(trials []Trial) (Value, bool) {
	values := make([]Value, 0, len(trials))
	for i := range trials {
		t := &trials[i]
		switch {
		case !t.Scored():
		case t.RecoveryNone:
			values = append(values, Value{Over: true})
		case t.RecoveryS != nil:
			values = append(values, Of(*t.RecoveryS))
		}
	}
	if len(values) == 0 {
		return Value{}, false
	}
	return Median(values), true
}

// Intervals returns 100 × marked ÷ all intervals. ok is false without
// intervals.
func Intervals(intervals []bool) (Value, bool) {
	marked := 0
	for _, yes := range intervals {
		if yes {
			marked++
		}
	}
	return Percent(marked, len(intervals))
}

// Rate returns the count per minute, 60 × count ÷ observed seconds. ok is false
// unless both are known and the observed time is positive.
func Rate(count *int64, observedS *exact.Rat) (Value, bool) {
	if count == nil || observedS == nil || observedS.Sign() <= 0 {
		return Value{}, false
	}
	return Of(exact.Int(60).Mul(exact.Int(*count)).Quo(*observedS)), true
}

// TotalDuration returns the sum of the durations in seconds, 0 for an empty
// list. ok is false for a nil list.
func TotalDuration(durationsS []exact.Rat) (Value, bool) {
	return Of(exact.Sum(durationsS)), durationsS != nil
}

// MeanDuration returns the mean of the durations in seconds. ok is false
// without durations.
func MeanDuration(durationsS []exact.Rat) (Value, bool) {
	if len(durationsS) == 0 {
		return Value{}, false
	}
	sum, _ := TotalDuration(durationsS)
	return Of(sum.Number.Quo(exact.Int(int64(len(durationsS))))), true
}

// LongestDuration returns the longest duration in seconds. ok is false without
// durations.
func LongestDuration(durationsS []exact.Rat) (Value, bool) {
	if len(durationsS) == 0 {
		return Value{}, false
	}
	longest := durationsS[0]
	for _, d := range durationsS[1:] {
		if longest.Less(d) {
			longest = d
		}
	}
	return Of(longest), true
}
