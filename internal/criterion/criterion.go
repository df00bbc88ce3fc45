// Package criterion parses, formats, validates and evaluates mastery criteria.
// Its input is the recorded sessions of one learner's placement on a step; its
// output is a reading with its reasons. It is pure: the same input always
// returns the same reading, and it uses no clock, database, locale or
// randomness. Reasons are data; other packages turn them into sentences in the
// reader's language.
//
// A reading prompts a qualified supervisor to look. It never decides.
package criterion

import (
	"strconv"
	"strings"

	"newel/internal/exact"
)

// EvaluatorVersion changes whenever the same case could return a different
// reading. Version 1 had the rules 2.1, version 2 has the rules 2.2.
const EvaluatorVersion = 2

// Comparison is the side of its number on which a goal is met.
type Comparison int

// The comparisons. Below and Above are strict.
const (
	AtLeast Comparison = iota
	AtMost
	Below
	Above
)

var comparisonWords = [...]string{"at least", "at most", "below", "above"}

// String returns the comparison in words.
func (c Comparison) String() string { return comparisonWords[c] }

// LowerIsBetter reports whether lower values are better.
func (c Comparison) LowerIsBetter() bool { return c == AtMost || c == Below }

// Measure is the quantity that a goal is about.
type Measure int

// The measures.
const (
	Accuracy Measure = iota // percent of scored trials
	Intervals
	Rate // per minute
	TotalDuration
	MeanDuration
	LongestDuration
	Latency // seconds, median
	Errors
	FirstTrial
	Recovery // seconds until steady again, median
)

// Percent reports whether values of the measure are percentages.
func (m Measure) Percent() bool { return m == Accuracy || m == Intervals || m == FirstTrial }

// OnTrials reports whether the measure is based on trials.
func (m Measure) OnTrials() bool {
	return m == Accuracy || m == Latency || m == Errors || m == FirstTrial || m == Recovery
}

// Goal is what one session has to achieve.
type Goal struct {
	Measure    Measure
	Comparison Comparison
	// Number as written: percent, count per minute, seconds or minutes, errors;
	// 100 for FirstTrial.
	Number exact.Rat
	// Minutes reports whether a duration's Number is in minutes rather than
	// seconds.
	Minutes bool
	// Level is the most help with which a trial still counts as correct, for
	// Accuracy; empty for none.
	Level string
}

// Limit returns the number to compare a session's value with, in the unit of
// the values: seconds even if the goal is written in minutes.
func (g Goal) Limit() exact.Rat {
	if g.Minutes {
		return g.Number.Mul(exact.Int(60))
	}
	return g.Number
}

// LowerIsBetter reports whether lower values are better.
func (g Goal) LowerIsBetter() bool { return g.Comparison.LowerIsBetter() }

// Unreachable reports whether no session could meet the goal, whatever was
// recorded, because it is above the maximum or below the minimum.
func (g Goal) Unreachable() bool {
	return g.Comparison == Below && g.Number.Sign() == 0 ||
		g.Comparison == Above && g.Measure.Percent() && exact.Int(100).Cmp(g.Number) <= 0
}

// String returns the goal in its canonical words.
func (g Goal) String() string {
	number := g.Number.String()
	compare := ""
	if g.Comparison != AtLeast {
		compare = g.Comparison.String() + " "
	}
	switch g.Measure {
	case Accuracy:
		if g.Level != "" {
			return compare + number + "% with help up to " + g.Level
		}
		return compare + number + "% independent"
	case Intervals:
		return compare + number + "% of intervals"
	case Rate:
		return compare + number + " per minute"
	case Latency:
		return "a response within " + number + " " + g.unit()
	case Recovery:
		return "steady again within " + number + " " + g.unit()
	case Errors:
		return "at most " + number + " " + g.plural("error", "errors")
	case FirstTrial:
		return "first trial correct"
	}
	return compare + number + " " + g.unit() + " " + aggregateWords[g.Measure]
}

var aggregateWords = map[Measure]string{
	TotalDuration: "in total", MeanDuration: "on average", LongestDuration: "at longest",
}

func (g Goal) unit() string {
	if g.Minutes {
		return g.plural("minute", "minutes")
	}
	return g.plural("second", "seconds")
}

func (g Goal) plural(one, many string) string {
	if g.Number.Equal(exact.Int(1)) {
		return one
	}
	return many
}

// Window is how many sessions have to meet the goal.
type Window struct {
	// Need sessions in a row (Of is 0), or Need of the last Of.
	Need int
	Of   int
}

// InARow reports whether the window requires consecutive sessions.
func (w Window) InARow() bool { return w.Of == 0 }

// Length returns how many sessions the window looks back over.
func (w Window) Length() int { return max(w.Need, w.Of) }

// String returns the window in its canonical words.
func (w Window) String() string {
	switch {
	case !w.InARow():
		return "in " + strconv.Itoa(w.Need) + " of the last " + strconv.Itoa(w.Of) + " sessions"
	case w.Need == 1:
		return "in 1 session"
	}
	return "in " + strconv.Itoa(w.Need) + " sessions in a row"
}

// Only restricts a criterion to one kind of session.
type Only string

// The restrictions to a kind of session.
const (
	AnyKind      Only = ""
	ProbesOnly   Only = "probes only"
	TeachingOnly Only = "teaching only"
)

// Criterion defines when a step is mastered.
type Criterion struct {
	Goal   Goal
	Window Window
	// Trials is the minimum number of scored trials in a session; 0 for no
	// minimum.
	Trials int
	// EachTarget requires every target of the step to meet the goal.
	EachTarget bool
	Only       Only
	// Days, People and Places are the minimum numbers of distinct ones among
	// the qualifying sessions; 0 for no minimum. Homes are the places that are
	// a home.
	Days, People, Places, Homes int
	// Second is a second goal that a session must meet to qualify; nil if none.
	Second *Goal
}

// String returns the criterion in its canonical words. Parsing them returns the
// same criterion.
func (c Criterion) String() string {
	var b strings.Builder
	b.WriteString(c.Goal.String() + " " + c.Window.String())
	if c.Trials > 0 {
		b.WriteString(", " + strconv.Itoa(c.Trials) + " or more trials")
	}
	if c.EachTarget {
		b.WriteString(", each target")
	}
	if c.Only != AnyKind {
		b.WriteString(", " + string(c.Only))
	}
	across := func(n int, one, many string) {
		if n == 1 {
			many = one
		}
		if n > 0 {
			b.WriteString(", across " + strconv.Itoa(n) + " " + many)
		}
	}
	across(c.Days, "day", "days")
	across(c.People, "person", "people")
	across(c.Places, "place", "places")
	across(c.Homes, "home", "homes")
	if c.Second != nil {
		b.WriteString(", and " + c.Second.String())
	}
	return b.String()
}
