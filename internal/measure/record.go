// Package measure computes the exact value of a measure from one session's
// record: an accuracy, a rate, a duration or a latency. It knows nothing of
// criteria or of other sessions.
package measure

import "newel/internal/exact"

// Outcome is what happened in one trial.
type Outcome string

// The outcomes of a trial. The first three are scored; together with Declined
// they are the offered ones.
const (
	Correct    Outcome = "correct"
	Incorrect  Outcome = "incorrect"
	NoResponse Outcome = "no_response"
	// Declined: the child said no, in any form.
	Declined Outcome = "declined"
	// NoChance: there was nothing to respond to.
	NoChance Outcome = "no_chance"
	// AdultPart: the adult did it, as planned.
	AdultPart Outcome = "adult_part"
)

// Outcomes lists all outcomes in their canonical order.
var Outcomes = []Outcome{Correct, Incorrect, NoResponse, Declined, NoChance, AdultPart}

// IntervalKind is what a marked interval means. Partial-interval recording
// overestimates how long something went on, and whole-interval recording
// underestimates it (common practice).
type IntervalKind string

// The kinds of interval recording.
const (
	PartialInterval   IntervalKind = "partial"   // it occurred at any time in the interval
	WholeInterval     IntervalKind = "whole"     // it went on during all of the interval
	MomentaryInterval IntervalKind = "momentary" // it occurred at the moment at which the interval ended
)

// IntervalKinds lists every kind.
var IntervalKinds = []IntervalKind{PartialInterval, WholeInterval, MomentaryInterval}

// Trial is one opportunity to respond.
type Trial struct {
	Target  string  `json:"target,omitempty"`
	Outcome Outcome `json:"outcome"`
	// Help is the help given before the outcome: empty for none, or a help
	// level. An Incorrect without help was an error before help, with a level
	// an error after it.
	Help string `json:"help,omitempty"`
	// LatencyS is the time to the response in seconds.
	LatencyS *exact.Rat `json:"latency_s,omitempty"`
	// None reports that there was no response within the limit. Never set
	// together with LatencyS.
	None bool `json:"none,omitempty"`
	// RecoveryS is the time in seconds until the learner was steady again.
	RecoveryS *exact.Rat `json:"recovery_s,omitempty"`
	// RecoveryNone reports that the learner was not steady again within the
	// limit. Never set together with RecoveryS.
	RecoveryNone bool `json:"recovery_none,omitempty"`
	// Choices is the number of choices offered, at least 2; 0 if unknown.
	Choices int `json:"choices,omitempty"`
	// Position is the position chosen, from 1; 0 if unknown.
	Position int  `json:"position,omitempty"`
	Void     bool `json:"void,omitempty"`
}

// Scored reports whether the trial counts toward a score: a response was
// possible and the child took part.
func (t *Trial) Scored() bool {
	if t.Void {
		return false
	}
	switch t.Outcome {
	case Correct, Incorrect, NoResponse:
		return true
	}
	return false
}

// Offered reports whether the child was offered the trial: scored or declined.
func (t *Trial) Offered() bool {
	return t.Scored() || t.Declined()
}

// Declined reports whether the child said no to the trial.
func (t *Trial) Declined() bool { return !t.Void && t.Outcome == Declined }

// Scale lists the help levels from least to most help. It does not include "no
// help".
type Scale []string

// Rank returns 0 for no help, 1 for the least help and so on. ok is false if
// level is not on the scale.
func (s Scale) Rank(level string) (rank int, ok bool) {
	if level == "" {
		return 0, true
	}
	for i, l := range s {
		if l == level {
			return i + 1, true
		}
	}
	return 0, false
}

// Within reports whether the trial was correct with no more help than the rank
// most (0 means without help).
func (s Scale) Within(t *Trial, most int) bool {
	if t.Void || t.Outcome != Correct {
		return false
	}
	rank, ok := s.Rank(t.Help)
	return ok && rank <= most
}

// Value is the value of a measure: either an exact number or "over the limit",
// which is longer than any number, meets no goal and is worse than any number.
type Value struct {
	Number exact.Rat
	Over   bool
}

// Of returns n as a Value.
func Of(n exact.Rat) Value { return Value{Number: n} }

// Compare returns -1, 0 or 1 as a is less than, equal to or greater than b.
func (a Value) Compare(b Value) int {
	switch {
	case a.Over && b.Over:
		return 0
	case a.Over:
		return 1
	case b.Over:
		return -1
	}
	return a.Number.Cmp(b.Number)
}

// Mean returns the mean of the values, or over the limit if any of them is. It
// panics if there are none.
func Mean(values []Value) Value {
	numbers := make([]exact.Rat, len(values))
	for i, v := range values {
		if v.Over {
			return Value{Over: true}
		}
		numbers[i] = v.Number
	}
	return Of(exact.Sum(numbers).Quo(exact.Int(int64(len(values)))))
}

// Median returns the median of the values, which for an even number is the mean
// of the middle two. It is over the limit if a value that determines it is. It
// reorders values and panics if there are none.
func Median(values []Value) Value {
	sortValues(values)
	middle := len(values) / 2
	if len(values)%2 == 1 {
		return values[middle]
	}
	return Mean(values[middle-1 : middle+1])
}
