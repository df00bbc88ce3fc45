package app

import (
	"context"
	"slices"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// ClimbedOn says when each climbed step was left by an advance, in the
// family's zone.
func (p Progress) ClimbedOn() map[string]newel.Day {
	on := map[string]newel.Day{}
	for _, d := range p.Decisions {
		if _, later := on[d.StepKey]; d.Kind == newel.DecisionAdvance && !later {
			on[d.StepKey] = newel.DayOf(d.DecidedAt, location(p.Family.TimeZone))
		}
	}
	return on
}

// LastOn gives the latest placement on a step, if there was one.
func (p Progress) LastOn(step string) (newel.PlacementID, bool) {
	for _, at := range slices.Backward(p.Placements) {
		if at.StepKey == step {
			return at.ID, true
		}
	}
	return newel.PlacementID{}, false
}

// AssignmentOf gives the assignment of a placement that the actor may watch.
func (a *App) AssignmentOf(ctx context.Context, actor newel.Actor, id newel.PlacementID) (assignment newel.AssignmentID, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		p, err := tx.Placement(ctx, id)
		assignment = p.AssignmentID
		return err
	})
	return assignment, err
}
