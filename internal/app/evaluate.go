package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// reread evaluates a placement whose lock the transaction holds and writes the
// reading. If that fails, the placement is marked to be read again, and only
// the log is loud.
func (a *App) reread(ctx context.Context, tx *postgres.Tx, placement newel.PlacementID) error {
	var family newel.FamilyID
	err := tx.Savepoint(ctx, func(tx *postgres.Tx) error {
		g, err := tx.Ground(ctx, placement)
		if err != nil {
			return err
		}
		family = g.FamilyID
		reading, err := a.evaluate.Read(g, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutReading(ctx, reading)
	})
	if err == nil {
		return nil
	}
	if family.IsZero() { // not a matter of evaluating: there is no such placement
		return err
	}
	a.unread(ctx, placement, err)
	return tx.MarkStale(ctx, family, placement)
}

// unread says loudly that a placement could not be read.
func (a *App) unread(ctx context.Context, placement newel.PlacementID, err error) {
	a.log.ErrorContext(ctx, "placement could not be read; its recordings are safe, it will be tried again", "placement", placement, "error", err)
}

// staleAtOnce bounds one pass of RereadStale in a clinic.
const staleAtOnce = 100

// RereadStale reads again what could not be read, in every clinic. One that
// fails again stays for the next pass and keeps nobody waiting.
func (a *App) RereadStale(ctx context.Context) error {
	clinics, err := a.clinics(ctx)
	if err != nil {
		return err
	}
	for _, clinic := range clinics {
		var stale []newel.PlacementID
		err := a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) (err error) {
			stale, err = tx.Stale(ctx, staleAtOnce)
			return err
		})
		if err != nil {
			return err
		}
		for _, placement := range stale {
			if err := a.Reread(ctx, clinic, placement); err != nil {
				a.unread(ctx, placement, err)
			}
		}
	}
	return nil
}

// Reread evaluates one placement now.
func (a *App) Reread(ctx context.Context, clinic newel.ClinicID, placement newel.PlacementID) error {
	return a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
		if err := tx.LockPlacement(ctx, placement); err != nil {
			return err
		}
		return a.reread(ctx, tx, placement)
	})
}

// wholeClinic is the scope of the installation's own work in a clinic.
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
