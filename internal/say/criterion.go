package say

import (
	"slices"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/message"
	"newel/internal/view"
	"newel/internal/writing"
)

// CriterionBox returns a criterion as it was parsed, with its odds and
// findings, except hidden ones.
func CriterionBox(t *message.Printer, v writing.CriterionView, hushed []string) view.CriterionBox {
	box := view.CriterionBox{T: t, Parts: v.Parts, Levels: v.Levels}
	if v.Criterion == nil {
		if box.Parts.Need == "" {
			box.Parts.Need, box.Parts.Goal = "3", criterion.GoalParts{Form: criterion.FormAlone, Compare: criterion.AtLeast.String(), Number: "80"}
		}
		return box
	}
	c := *v.Criterion
	box.Read = c.String()
	if k, ok := c.Goal.LeastCorrect(v.Trials); ok {
		if k == v.Trials {
			box.Means = append(box.Means, t.Text("crit.means_all", "n", v.Trials, "percent", c.Goal.Number.String()))
		} else {
			box.Means = append(box.Means, t.Text("crit.means", "k", k, "n", v.Trials))
		}
	}
	if v.Odds != nil {
		box.Odds = oddsPanel(t, v)
	}
	if v.Luck != nil {
		box.Luck = luckPanel(t, v)
	}
	for _, f := range findingsOn(t, c, v.Checked) {
		if !slices.Contains(hushed, f.Key) {
			box.Findings = append(box.Findings, f)
		}
	}
	return box
}

// The learners in the table, by percent correct, and the one who counts as
// ready; for a goal of at most some percent, as far from 0 as the others are
// from 100.
var (
	shownOdds  = []int{60, 70, 80, 90, 95}
	shownLower = []int{40, 30, 20, 10, 5}
)

const (
	readyPercent = 90
	readyLower   = 10
)

func oddsPanel(t *message.Printer, v writing.CriterionView) *view.OddsPanel {
	shown, ready, key := shownOdds, readyPercent, "odds.ready"
	if v.Criterion.Goal.LowerIsBetter() {
		shown, ready, key = shownLower, readyLower, "odds.ready_lower"
	}
	p := &view.OddsPanel{Curve: view.CurveOf(v.Odds.Percent, v.Odds.Within10, v.Odds.Within20, []int{shown[0], shown[2], shown[4]})}
	for _, percent := range shown {
		ten, twenty, expected := v.Odds.At(percent)
		p.Rows = append(p.Rows, view.OddsRow{
			Percent: percentText(percent), Within10: view.Chance(t, ten), Within20: view.Chance(t, twenty), Expected: view.Sessions(t, expected),
		})
	}
	_, _, expected := v.Odds.At(ready)
	p.Ready = t.Text(key, "sessions", view.Sessions(t, expected))
	p.Assumed = t.Text("odds.assumed", "n", v.Trials)
	if v.Assumed {
		p.Assumed = t.Text("odds.assumed_trials", "n", v.Trials)
	}
	return p
}

// findingsOn returns the published findings that apply to a criterion. They
// were read in abstracts and first pages, and the text says so. Sources:
// Longino et al. 2022 (Behav Anal Pract 15:397); Pitts & Hoerger 2021 (Behav
// Interv 36:522); Fuller & Fienup 2018 and McDougale et al. 2020 (both Behav
// Anal Pract).
func findingsOn(t *message.Printer, c criterion.Criterion, checked bool) []view.Published {
	limits := t.Text("finding.limits")
	var out []view.Published
	add := func(key string) {
		out = append(out, view.Published{Key: key, Text: t.Text("finding." + key), Source: t.Text("finding." + key + ".source"), Limits: limits})
	}
	if c.Goal.Measure == criterion.Accuracy && !c.Goal.LowerIsBetter() {
		switch percent := c.Goal.Number; {
		case percent.Less(exact.Int(90)):
			add("eighty")
		case percent.Less(exact.Int(100)):
			add("ninety")
		default:
			add("hundred")
		}
	}
	if !checked {
		add("unchecked")
	}
	return out
}

// percentText formats percent for a table.
func percentText(n int) string { return strconv.Itoa(n) + "%" }
