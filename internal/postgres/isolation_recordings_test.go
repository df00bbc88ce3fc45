package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/recording"
)

const addsOwnHeld = "an uncountable recording is stored for the caller's own account, whatever ids it names"

var recordingDeeds = map[string][]deed{
	"LockDelivery": {
		{blank: true, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.LockDelivery(ctx, postgres.Delivery{ID: v.Recording, Placement: v.Placement, SHA256: "00", Closing: true})
		}},
		{blank: true, adds: "the result is about the caller's own placement", call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return tx.LockDelivery(ctx, postgres.Delivery{ID: v.Recording, Placement: own.Placement, SHA256: "00", Closing: true})
		}},
	},
	"SaveRecording": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return keep(ctx, tx, v.Family, v.Recording, v.Placement, v.Assignment)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return keep(ctx, tx, own, fresh[newel.RecordingID](), v.Placement, own.Assignment)
		}, mixes: true},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			if own.Clinic != v.Clinic {
				return nil, newel.ErrNotFound // an id used by one clinic is still free in another
			}
			return keep(ctx, tx, own, v.Recording, own.Placement, own.Assignment)
		}, mixes: true},
		{
			adds: "the caller's own recording is kept; it must not pause another family's assignment",
			call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
				return keep(ctx, tx, own, fresh[newel.RecordingID](), own.Placement, v.Assignment)
			},
		},
	},
	"Recording": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Recording(ctx, v.Recording)
	}}},
	"LockRecording": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.LockRecording(ctx, v.Recording)
	}}},
	"Summarise": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.Summarise(ctx, recording.Kept{ID: v.Recording, FamilyID: v.ID, PlacementID: v.Placement, Void: true})
	}}},
	"Amend": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.Amend(ctx, v.ID, v.Recording, anAmendment(tx))
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.Amend(ctx, own.ID, v.Recording, anAmendment(tx))
		}, mixes: true},
	},
	"Amendments": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Amendments(ctx, v.Recording)
	}}},

	"Quarantine": {{adds: addsOwnHeld, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		d := tenants.Session{ID: v.Quarantined, Placement: v.Placement, Author: tx.Scope().Account, By: v.Person, Mark: "sent", Target: v.Target}.Document()
		state := recording.Of(d)
		return nil, tx.Quarantine(ctx, state, v.Placement, "no_access", recording.MakeReceipt(state, d.Contract, d.Encode(), tenants.Now))
	}}},
	"AllQuarantined": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.AllQuarantined(ctx)
	}}},
	"LockQuarantined": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LockQuarantined(ctx, v.Caregiver, v.Quarantined)
	}}},
	"Settle": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.Settle(ctx, v.Caregiver, v.Quarantined, postgres.QuarantineSetAside)
	}}},
}

// keep sends a recording as a family's caregiver.
func keep(ctx context.Context, tx *postgres.Tx, f tenants.Family, id newel.RecordingID, p newel.PlacementID, rest newel.AssignmentID) (any, error) {
	d := tenants.Session{ID: id, Placement: p, Author: f.Caregiver, By: f.Person, Mark: "sent", Target: f.Target}.Document()
	state := recording.Of(d)
	at := d.StartedAt.Time()
	readingErr, err := tx.SaveRecording(ctx, postgres.MergedRecording{
		Recording: recording.Kept{
			ID: id, FamilyID: f.ID, PlacementID: p, AuthorID: f.Caregiver, ByID: &f.Person, State: state, Closed: true,
			StartedAt: at, EndedAt: at, LocalDate: newel.NewDay(2026, 3, 8), Trials: 2, ReceivedAt: tenants.Now, ClosedAt: &tenants.Now,
		},
		Receipt: recording.MakeReceipt(state, d.Contract, d.Encode(), tenants.Now),
		Rest:    &rest,
	})
	if err == nil {
		err = readingErr
	}
	return nil, err
}

func anAmendment(tx *postgres.Tx) recording.Amendment {
	return recording.Amendment{
		ID: fresh[newel.AmendmentID](), Author: tx.Scope().Account, At: tenants.Now, Reason: "Tapped twice", Change: recording.VoidTrial(1),
	}
}
