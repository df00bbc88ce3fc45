package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
)

// RuleBar says why a met step that may be advanced by rule is not: something
// is open that a person has to look at.
type RuleBar string

// What keeps the rule from advancing.
const (
	BarSaidNo  RuleBar = "said_no"
	BarDiffers RuleBar = "differs"
	BarLate    RuleBar = "late"   // late, doubled or undecided recordings
	BarUnsent  RuleBar = "unsent" // a phone of the family still holds sessions
	BarHeld    RuleBar = "held"   // somebody has decided to hold, or to revise
	BarState   RuleBar = "state"  // paused, or finished
)

// RuleBars lists what keeps a rule from advancing a row.
func RuleBars(row newel.CaseloadRow, unsent int) []RuleBar {
	var bars []RuleBar
	add := func(bar RuleBar, is bool) {
		if is {
			bars = append(bars, bar)
		}
	}
	add(BarSaidNo, row.State == newel.AssignmentResting || raised(row.Gist, criterion.Distress))
	add(BarDiffers, raised(row.Gist, criterion.DiffersByPerson) || raised(row.Gist, criterion.DiffersByPlace))
	add(BarLate, row.Waiting > 0 || row.Held > 0 || LateOpen(row) || len(Twice(row)) > 0 || row.Stale)
	add(BarUnsent, unsent > 0)
	add(BarHeld, row.DecisionKind == newel.DecisionHold || row.DecisionKind == newel.DecisionRevise)
	add(BarState, row.State == newel.AssignmentPaused || row.State == newel.AssignmentFinished)
	return bars
}
