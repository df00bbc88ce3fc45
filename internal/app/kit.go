package app

import (
	"context"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
)

// Kit returns everything that a phone needs to teach and record a placement. It
// returns ErrGone if the placement has ended, because there is a newer one.
func (a *App) Kit(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (kit program.Kit, err error) {
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) error {
		now, err := tx.TaughtAt(ctx, placement)
		if err != nil {
			return err
		}
		if !now.Open() {
			return fmt.Errorf("placement %s has closed: %w", placement, newel.ErrGone)
		}
		people, err := tx.People(ctx, now.FamilyID)
		kit = reading.KitOf(now, people, actor.Account)
		return err
	})
	return kit, err
}
