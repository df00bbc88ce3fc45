package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
)

// VerdictsOn returns the reported outcomes of a decision, newest first.
func (p Progress) VerdictsOn(id newel.DecisionID) []newel.Verdict {
	var on []newel.Verdict
	for _, v := range p.Verdicts {
		if v.DecisionID == id {
			on = append(on, v)
		}
	}
	return on
}

// Readings returns the reading at the time of a decision, and the current one
// of the placement that the decision led to, or else of the same placement.
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
	return DecodeReading(d.Reading), now
}

// Overdue reports whether the day of a decision's expected outcome has passed
// and no one has recorded the outcome.
func (p Progress) Overdue(d newel.DecisionRow) bool {
	return d.Expected != "" && !d.ExpectedBy.IsZero() && !p.Today.Before(d.ExpectedBy) && len(p.VerdictsOn(d.ID)) == 0
}
