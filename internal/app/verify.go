package app

import (
	"bytes"
	"context"
	"encoding/json"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// Difference is a reading that comes out otherwise when it is computed again
// at its own moment.
type Difference struct {
	Clinic    newel.ClinicID
	Placement newel.PlacementID
	Kept      newel.Reading
	Again     newel.Reading
	Err       error // it could not be computed again
}

// Verified is what Verify found.
type Verified struct {
	Readings    int // looked at
	Stale       int // of these, waiting to be read again: not compared
	Differences []Difference
}

// Verify computes each reading again at its as_of, from the recordings, and
// reports those that differ. It changes nothing.
func (a *App) Verify(ctx context.Context) (Verified, error) {
	clinics, err := a.clinics(ctx)
	var found Verified
	for _, clinic := range clinics {
		if err == nil {
			err = a.verifyClinic(ctx, clinic, &found)
		}
	}
	return found, err
}

func (a *App) verifyClinic(ctx context.Context, clinic newel.ClinicID, found *Verified) error {
	return a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
		readings, err := tx.Readings(ctx)
		if err != nil {
			return err
		}
		for _, kept := range readings {
			// As the placement was at that moment: the lock keeps a closing out meanwhile.
			if err := tx.LockPlacement(ctx, kept.PlacementID); err != nil {
				return err
			}
			// The list may be older than the lock.
			if kept, err = tx.Reading(ctx, kept.PlacementID); err != nil {
				return err
			}
			found.Readings++
			if kept.Stale {
				found.Stale++
				continue
			}
			ground, err := tx.Ground(ctx, kept.PlacementID)
			if err != nil {
				return err
			}
			again, err := a.read(ground, kept.AsOf)
			if err != nil || !sameReading(kept, again) {
				found.Differences = append(found.Differences, Difference{clinic, kept.PlacementID, kept, again, err})
			}
		}
		return nil
	})
}

func sameReading(a, b newel.Reading) bool {
	return a.Status == b.Status && a.IdleFrom == b.IdleFrom && a.Evaluator == b.Evaluator && bytes.Equal(normal(a.Body), normal(b.Body))
}

// normal writes JSON in one spelling: the database spaces and orders it in
// its own.
func normal(raw json.RawMessage) []byte {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return raw
	}
	out, _ := json.Marshal(v) // what was read can be written
	return out
}
