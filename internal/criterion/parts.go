package criterion

import (
	"slices"
	"strconv"
	"strings"

	"newel/internal/exact"
)

// GoalForm is a kind of goal as offered by a form.
type GoalForm string

// The kinds of goal in a form.
const (
	FormNone      GoalForm = "" // no second goal
	FormAlone     GoalForm = "alone"
	FormHelp      GoalForm = "help" // correct with help up to a level
	FormFirst     GoalForm = "first"
	FormErrors    GoalForm = "errors"
	FormLatency   GoalForm = "latency"
	FormRecovery  GoalForm = "recovery"
	FormRate      GoalForm = "rate"
	FormIntervals GoalForm = "intervals"
	FormTotal     GoalForm = "total"
	FormMean      GoalForm = "mean"
	FormLongest   GoalForm = "longest"
)

// GoalForms lists every kind in form order.
var GoalForms = []GoalForm{FormAlone, FormHelp, FormFirst, FormErrors, FormLatency, FormRecovery, FormRate, FormIntervals, FormTotal, FormMean, FormLongest}

// Compares reports whether the kind has a choice of comparison.
func (f GoalForm) Compares() bool {
	return !slices.Contains([]GoalForm{FormNone, FormFirst, FormErrors, FormLatency, FormRecovery}, f)
}

// GoalParts holds a goal as form fields, as typed.
type GoalParts struct {
	Form    GoalForm
	Compare string // "at least" and the like
	Number  string
	Unit    string // seconds or minutes, for durations
	Level   string // for FormHelp
}

// Parts holds a criterion as form fields, as typed. Empty means not required.
type Parts struct {
	Goal       GoalParts
	Need       string
	Of         string // of the last this many; empty: in a row
	Trials     string
	EachTarget bool
	Only       Only
	Days       string
	People     string
	Places     string
	Homes      string
	Second     GoalParts
}

// Parts returns the criterion as form fields.
func (c Criterion) Parts() Parts {
	p := Parts{
		Goal: c.Goal.parts(), Need: strconv.Itoa(c.Window.Need), Of: asked(c.Window.Of), Trials: asked(c.Trials),
		EachTarget: c.EachTarget, Only: c.Only, Days: asked(c.Days), People: asked(c.People), Places: asked(c.Places), Homes: asked(c.Homes),
	}
	if c.Second != nil {
		p.Second = c.Second.parts()
	}
	return p
}

func asked(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

var formOf = map[Measure]GoalForm{
	Accuracy: FormAlone, Intervals: FormIntervals, Rate: FormRate, TotalDuration: FormTotal, MeanDuration: FormMean,
	LongestDuration: FormLongest, Latency: FormLatency, Recovery: FormRecovery, Errors: FormErrors, FirstTrial: FormFirst,
}

func (g Goal) parts() GoalParts {
	p := GoalParts{Form: formOf[g.Measure], Compare: g.Comparison.String(), Number: g.Number.String(), Unit: "seconds", Level: g.Level}
	if g.Minutes {
		p.Unit = "minutes"
	}
	if g.Level != "" {
		p.Form = FormHelp
	}
	if g.Measure == FirstTrial {
		p.Number = ""
	}
	return p
}

// String returns the goal in words, which Parse may still reject.
func (g GoalParts) String() string {
	number := strings.TrimSpace(g.Number)
	compare := ""
	if g.Form.Compares() && g.Compare != "" && g.Compare != AtLeast.String() {
		compare = g.Compare + " "
	}
	switch g.Form {
	case FormAlone:
		return compare + number + "% independent"
	case FormHelp:
		return compare + number + "% with help up to " + g.Level
	case FormFirst:
		return "first trial correct"
	case FormErrors:
		return "at most " + number + " errors"
	case FormLatency:
		return "a response within " + number + " seconds"
	case FormRecovery:
		return "steady again within " + number + " seconds"
	case FormRate:
		return compare + number + " per minute"
	case FormIntervals:
		return compare + number + "% of intervals"
	case FormTotal:
		return compare + number + " " + g.unit() + " in total"
	case FormMean:
		return compare + number + " " + g.unit() + " on average"
	case FormLongest:
		return compare + number + " " + g.unit() + " at longest"
	}
	return ""
}

func (g GoalParts) unit() string {
	if g.Unit == "minutes" {
		return g.Unit
	}
	return "seconds"
}

// String returns the criterion in words, which Parse may still reject.
func (p Parts) String() string {
	need, of := strings.TrimSpace(p.Need), strings.TrimSpace(p.Of)
	text := p.Goal.String() + " in " + need + " sessions in a row"
	switch {
	case of != "":
		text = p.Goal.String() + " in " + need + " of the last " + of + " sessions"
	case need == "1":
		text = p.Goal.String() + " in 1 session"
	}
	add := func(before, value, after string) {
		if value = strings.TrimSpace(value); value != "" {
			text += ", " + before + value + after
		}
	}
	add("", p.Trials, " or more trials")
	if p.EachTarget {
		text += ", each target"
	}
	add("", string(p.Only), "")
	add("across ", p.Days, " days")
	add("across ", p.People, " people")
	add("across ", p.Places, " places")
	add("across ", p.Homes, " homes")
	add("and ", p.Second.String(), "")
	return text
}

// LeastCorrect returns how many of n trials must be correct to meet an accuracy
// goal of at least or above a percentage. ok is false for any other goal, and
// if even n correct trials are too few.
func (g Goal) LeastCorrect(n int) (k int, ok bool) {
	if g.Measure != Accuracy || g.LowerIsBetter() || n < 1 {
		return 0, false
	}
	for k := range n + 1 {
		order := exact.Frac(100*int64(k), int64(n)).Cmp(g.Number)
		if order > 0 || order == 0 && g.Comparison == AtLeast {
			return k, true
		}
	}
	return 0, false
}
