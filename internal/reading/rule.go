package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
)

// RuleBar is why a met step that a rule could advance is not advanced: a person
// has to look at something first.
type RuleBar string

// What blocks the rule.
const (
	BarSaidNo  RuleBar = "said_no"
	BarDiffers RuleBar = "differs"
	BarLate    RuleBar = "late"   // late, duplicate or unsettled recordings
	BarUnsent  RuleBar = "unsent" // a phone of the family still holds sessions
	BarHeld    RuleBar = "held"   // someone has decided to hold or revise
	BarState   RuleBar = "state"  // paused, or finished
)

// RuleBars lists what blocks the rule for a row.
func RuleBars(row newel.CaseloadRow, unsent int) []RuleBar {
	var bars []RuleBar
	add := func(bar RuleBar, is bool) {
		if is {
			bars = append(bars, bar)
		}
	}
	add(BarSaidNo, row.State == newel.AssignmentResting || hasFlag(row.Gist, criterion.Distress))
	add(BarDiffers, hasFlag(row.Gist, criterion.DiffersByPerson) || hasFlag(row.Gist, criterion.DiffersByPlace))
	add(BarLate, row.WithSurplus > 0 || row.Quarantined > 0 || LateOpen(row) || len(Twice(row)) > 0 || row.Stale)
	add(BarUnsent, unsent > 0)
	add(BarHeld, row.DecisionKind == newel.DecisionHold || row.DecisionKind == newel.DecisionRevise)
	add(BarState, row.State == newel.AssignmentPaused || row.State == newel.AssignmentFinished)
	return bars
}
