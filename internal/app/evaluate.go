package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// evaluateAgain evaluates a placement whose lock the transaction holds and
// writes the reading. If that fails, it marks the placement for another try and
// logs the error without returning it.
func (a *App) evaluateAgain(ctx context.Context, tx *postgres.Tx, placement newel.PlacementID) error {
	var family newel.FamilyID
	err := tx.Savepoint(ctx, func(tx *postgres.Tx) error {
		g, err := tx.Facts(ctx, placement)
		if err != nil {
			return err
		}
		family = g.FamilyID
		reading, err := a.evaluate.Evaluate(g, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutReading(ctx, reading)
	})
	if err == nil {
		return nil
	}
	if family.IsZero() { // not an evaluation error: there is no such placement
		return err
	}
	a.logUnevaluated(ctx, placement, err)
	return tx.MarkStale(ctx, family, placement)
}

// logUnevaluated logs that a placement could not be evaluated.
func (a *App) logUnevaluated(ctx context.Context, placement newel.PlacementID, err error) {
	a.log.ErrorContext(ctx, "placement could not be evaluated; its recordings are safe, and it will be tried again", "placement", placement, "error", err)
}

// staleBatch limits one pass of EvaluateStale in a clinic.
const staleBatch = 100

// EvaluateStale evaluates placements whose evaluation has failed, in every
// clinic. One that fails again waits for the next pass without delaying others.
func (a *App) EvaluateStale(ctx context.Context) error {
	clinics, err := a.clinics(ctx)
	if err != nil {
		return err
	}
	for _, clinic := range clinics {
		var stale []newel.PlacementID
		err := a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) (err error) {
			stale, err = tx.Stale(ctx, staleBatch)
			return err
		})
		if err != nil {
			return err
		}
		for _, placement := range stale {
			if err := a.EvaluateAgain(ctx, clinic, placement); err != nil {
				a.logUnevaluated(ctx, placement, err)
			}
		}
	}
	return nil
}

// EvaluateAgain evaluates one placement now.
func (a *App) EvaluateAgain(ctx context.Context, clinic newel.ClinicID, placement newel.PlacementID) error {
	return a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
		if err := tx.LockPlacement(ctx, placement); err != nil {
			return err
		}
		return a.evaluateAgain(ctx, tx, placement)
	})
}

// renewedAtOnce limits how many readings of an earlier evaluator one page
// evaluates again. The rest wait until they are read next.
const renewedAtOnce = 200

// upToDate calls read. If that read readings of an earlier evaluator, it
// evaluates their placements and calls read again. One that cannot be evaluated
// stays as it is: a page never fails because the rules have changed.
func (a *App) upToDate(ctx context.Context, clinic newel.ClinicID, read func() (outdated []newel.PlacementID, err error)) error {
	outdated, err := read()
	if err != nil || len(outdated) == 0 {
		return err
	}
	for _, placement := range outdated {
		if err := a.EvaluateAgain(ctx, clinic, placement); err != nil {
			a.logUnevaluated(ctx, placement, err)
		}
	}
	_, err = read()
	return err
}

// wholeClinic returns the scope for the installation's own work in a clinic.
func wholeClinic(clinic newel.ClinicID) newel.Scope {
	return newel.Scope{Clinic: clinic, Staff: true, WholeClinic: true}
}

// clinics lists the clinics of the installation.
func (a *App) clinics(ctx context.Context) (ids []newel.ClinicID, err error) {
	err = a.db.WithKey(ctx, postgres.KeyStart, func(tx *postgres.Tx) error {
		clinics, err := tx.UnscopedClinics(ctx)
		for _, c := range clinics {
			ids = append(ids, c.ID)
		}
		return err
	})
	return ids, err
}
