package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// Difference is a reading that differs when it is recomputed as of its own
// time.
type Difference struct {
	Clinic    newel.ClinicID
	Placement newel.PlacementID
	Kept      newel.Reading
	Again     newel.Reading
	Err       error // recomputing failed
}

// Verified is what Verify found.
type Verified struct {
	Readings int // number examined
	Stale    int // of these, waiting to be evaluated again and not compared
	// Versions counts the compared readings by the version of the evaluator that
	// made them. Of an earlier one, only what the rules have not changed since is
	// compared.
	Versions    map[int]int
	Differences []Difference
}

// Verify recomputes each reading from the recordings as of its as_of time, and
// returns those that differ. It changes nothing, takes no locks, and holds at
// most one batch of readings at a time, whatever the size of a clinic.
func (a *App) Verify(ctx context.Context) (Verified, error) {
	clinics, err := a.clinics(ctx)
	found := Verified{Versions: map[int]int{}}
	for _, clinic := range clinics {
		for after, more := (newel.PlacementID{}), true; more && err == nil; {
			after, more, err = a.verifyBatch(ctx, clinic, after, &found)
		}
	}
	return found, err
}

// verifyBatchSize is the number of readings compared in one snapshot.
const verifyBatchSize = 100

// verifyBatch compares the next readings after a placement, and returns where
// to continue.
func (a *App) verifyBatch(ctx context.Context, clinic newel.ClinicID, after newel.PlacementID, found *Verified) (last newel.PlacementID, more bool, err error) {
	var readings []newel.Reading
	facts := map[newel.PlacementID]reading.Facts{}
	err = a.db.InSnapshot(ctx, wholeClinic(clinic), func(tx *postgres.Tx) (err error) {
		if readings, err = tx.Readings(ctx, after, verifyBatchSize); err != nil || len(readings) == 0 {
			return err
		}
		list, err := tx.AllFacts(ctx, after, readings[len(readings)-1].PlacementID)
		for _, g := range list {
			facts[g.PlacementID] = g
		}
		return err
	})
	if err != nil || len(readings) == 0 {
		return after, false, err
	}
	for _, kept := range readings {
		found.Readings++
		if kept.Stale {
			found.Stale++
			continue
		}
		found.Versions[kept.Evaluator]++
		again, err := a.evaluate.Evaluate(facts[kept.PlacementID], kept.AsOf)
		if err != nil || !reading.SameReading(kept, again) {
			found.Differences = append(found.Differences, Difference{clinic, kept.PlacementID, kept, again, err})
		}
	}
	return readings[len(readings)-1].PlacementID, len(readings) == verifyBatchSize, nil
}
