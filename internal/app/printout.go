package app

import (
	"context"
	"crypto/sha256"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
)

// PrintoutView is what a printed sheet says about a placement.
type PrintoutView struct {
	Kit program.Kit
	// Name holds two numbers derived from the version and the step. Each
	// selects a word, so that an outdated sheet on a wall can be recognized.
	Name [2]uint16
	Own  newel.StepOverride // changes for this learner
}

// Printout returns the content of a placement's printed sheet.
func (a *App) Printout(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (v PrintoutView, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		now, err := tx.TaughtAt(ctx, placement)
		if err != nil {
			return err
		}
		v.Kit = reading.KitOf(now, nil, newel.AccountID{})
		v.Own = now.Overrides[now.StepKey]
		sum := sha256.Sum256([]byte("sheet " + now.VersionID.String() + " " + now.StepKey))
		v.Name = [2]uint16{uint16(sum[0])<<8 | uint16(sum[1]), uint16(sum[2])<<8 | uint16(sum[3])}
		return nil
	})
	return v, err
}
