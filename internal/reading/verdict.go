package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
)

// VerdictsOn gives what was said to have come of a decision, newest first.
func (p Progress) VerdictsOn(id newel.DecisionID) []newel.Verdict {
	var on []newel.Verdict
	for _, v := range p.Verdicts {
		if v.DecisionID == id {
			on = append(on, v)
		}
	}
	return on
}

// Readings gives what the evaluator said when something was decided, and what
// it says now of the stay that the decision led to, or of the same.
func (p Progress) Readings(d newel.DecisionRow) (then, now criterion.Reading) {
	on := d.PlacementID
	if d.NextPlacement != nil {
		on = *d.NextPlacement
	}
	for _, s := range p.Stays {
		if s.ID == on {
			now = s.Said
		}
	}
	return Said(d.Reading), now
}

// Overdue reports whether something was expected of a decision by a day that
// has passed, and nobody has said what came of it.
func (p Progress) Overdue(d newel.DecisionRow) bool {
	return d.Expected != "" && !d.ExpectedBy.IsZero() && !p.Today.Before(d.ExpectedBy) && len(p.VerdictsOn(d.ID)) == 0
}
