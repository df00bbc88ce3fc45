package reading

import (
	"slices"

	"newel/internal/newel"
	"newel/internal/timezone"
)

// MetOn returns the day on which each mastered step was left by an advance,
// in the family's zone.
func (p Progress) MetOn() map[string]newel.Day {
	on := map[string]newel.Day{}
	for _, d := range p.Decisions {
		if _, later := on[d.StepKey]; d.Kind == newel.DecisionAdvance && !later {
			on[d.StepKey] = newel.DayOf(d.DecidedAt, timezone.OrUTC(p.Family.TimeZone))
		}
	}
	return on
}

// LastPlacement returns the latest placement on a step, if there was one.
func (p Progress) LastPlacement(step string) (newel.PlacementID, bool) {
	for _, at := range slices.Backward(p.Placements) {
		if at.StepKey == step {
			return at.ID, true
		}
	}
	return newel.PlacementID{}, false
}
