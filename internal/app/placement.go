package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// AssignmentOf returns the assignment of a placement that the actor may watch.
func (a *App) AssignmentOf(ctx context.Context, actor newel.Actor, id newel.PlacementID) (assignment newel.AssignmentID, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		p, err := tx.Placement(ctx, id)
		assignment = p.AssignmentID
		return err
	})
	return assignment, err
}
