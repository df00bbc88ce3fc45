package view

import (
	"math"
	"slices"
	"strconv"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/message"
)

// CriterionBox is a criterion in its two forms, with what it demands.
type CriterionBox struct {
	T        *message.Printer
	Path     string // evaluates the form again
	Field    Field  // the sentence
	Parts    criterion.Parts
	Levels   []string
	Read     string // in canonical words; empty if invalid
	Example  string // for an invalid criterion: a valid one that a button inserts
	Findings []Published
	Odds     *OddsPanel
	Luck     *LuckPanel
	Means    []string // what the numbers mean
}

// Published is a published finding about a kind of criterion.
type Published struct{ Key, Text, Source, Limits string }

// OddsPanel holds the curve and the table of a criterion's odds.
type OddsPanel struct {
	Assumed string // the assumptions
	Curve   chart.Curve
	Rows    []OddsRow
	Ready   string // how long a ready learner takes
}

// OddsRow is one learner in the table: percent correct, and the odds of meeting
// the criterion.
type OddsRow struct{ Percent, Within10, Within20, Expected string }

// LuckPanel says how the criterion treats a child who has not learned the skill
// and one who has.
type LuckPanel struct {
	Said  []string // what is wrong, or the one sentence that nothing is
	Sound bool
	Mends []LuckMend
	Basis []string
}

// LuckMend is a button that writes a sound criterion, and what that one would
// do.
type LuckMend struct {
	Fix
	Would string
}

// CurveOf draws the odds within ten and within twenty sessions, with a point at
// each of the marked percentages.
func CurveOf(percent []int, within10, within20 []float64, marked []int) chart.Curve {
	line := func(chances []float64) chart.Line {
		var l chart.Line
		for i, p := range percent {
			l = append(l, chart.Point{X: float64(p), Y: 100 * chances[i]})
		}
		return l
	}
	var points []chart.Point
	for i, p := range percent {
		if slices.Contains(marked, p) {
			points = append(points, chart.Point{X: float64(p), Y: 100 * within10[i]})
		}
	}
	return chart.NewCurve(300, 150, []chart.Line{line(within10), line(within20)}, points)
}

// Chance formats a probability so that nothing possible reads as impossible,
// and nothing uncertain as certain.
func Chance(t *message.Printer, p float64) string {
	n := math.Round(100 * p)
	switch {
	case p == 0:
		return t.Text("odds.never")
	case n < 1:
		return t.Text("odds.under_one")
	case n > 99 && p < 1:
		return t.Text("odds.nearly")
	}
	return t.Text("odds.of_hundred", "n", int(n))
}

// Sessions formats an expected number of sessions.
func Sessions(t *message.Printer, expected *float64) string {
	switch {
	case expected == nil:
		return t.Text("odds.not_ever")
	case *expected > 500:
		return t.Text("odds.hundreds")
	}
	return strconv.FormatFloat(math.Round(*expected), 'f', -1, 64)
}

func polyline(l chart.Line) string {
	d := ""
	for i, p := range l {
		if i > 0 {
			d += " "
		}
		d += num(p.X) + "," + num(p.Y)
	}
	return d
}

// partField returns a field of the criterion form. It does not belong to a
// draft.
func (m CriterionBox) partField(name, value string, options ...Option) Field {
	return Field{Name: "crit-" + name, Label: m.T.Text("critform." + name), Value: value, Short: true, Required: true, Options: options}
}

func (m CriterionBox) goalOptions(second bool) []Option {
	var out []Option
	if second {
		out = append(out, Option{Label: m.T.Text("goalform.none")})
	}
	for _, f := range criterion.GoalForms {
		out = append(out, Option{Value: string(f), Label: m.T.Text("goalform." + string(f))})
	}
	return out
}

func (m CriterionBox) compareOptions() []Option {
	var out []Option
	for _, c := range []criterion.Comparison{criterion.AtLeast, criterion.Above, criterion.AtMost, criterion.Below} {
		out = append(out, Option{Value: c.String(), Label: m.T.Text("compare." + map[criterion.Comparison]string{
			criterion.AtLeast: "at_least", criterion.Above: "above", criterion.AtMost: "at_most", criterion.Below: "below",
		}[c])})
	}
	return out
}

func (m CriterionBox) levelOptions() []Option {
	out := []Option{{Label: "–"}}
	for _, l := range m.Levels {
		out = append(out, Option{Value: l, Label: l})
	}
	return out
}
