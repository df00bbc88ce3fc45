package app

import (
	"context"
	"slices"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/recording"
	"newel/internal/timezone"
)

// Quarantined is a recording in quarantine.
type Quarantined = postgres.Quarantined

// Quarantine lists the sessions that someone has to accept or set aside.
func (a *App) Quarantine(ctx context.Context, actor newel.Actor) (quarantined []postgres.Quarantined, err error) {
	err = a.act(ctx, actor, newel.SettleQuarantine, func(tx *postgres.Tx) error {
		quarantined, err = tx.AllQuarantined(ctx)
		return err
	})
	return quarantined, err
}

// SettleInput is a decision about a quarantined session.
type SettleInput struct {
	Account   newel.AccountID // who sent it
	Recording newel.RecordingID
	Accept    bool // otherwise it is set aside and stays in quarantine
}

// Settle accepts a quarantined session into its placement, or sets it aside for
// good. It can be accepted if the placement is in reach and no other recording
// has its id.
func (a *App) Settle(ctx context.Context, actor newel.Actor, form Form, in SettleInput) (string, error) {
	return a.once(ctx, actor, newel.SettleQuarantine, form, func(tx *postgres.Tx) (string, error) {
		quarantined, err := tx.LockQuarantined(ctx, in.Account, in.Recording)
		if err != nil {
			return "", err
		}
		family := newel.FamilyID{}
		if quarantined.FamilyID != nil {
			family = *quarantined.FamilyID
		}
		entry, outcome := "quarantine.set_aside", postgres.QuarantineSetAside
		if in.Accept {
			entry, outcome = "quarantine.taken_in", postgres.QuarantineAccepted
			if err := a.acceptQuarantined(ctx, tx, quarantined); err != nil {
				return "", err
			}
		}
		if err := tx.Settle(ctx, quarantined.AccountID, quarantined.ID, outcome); err != nil {
			return "", err
		}
		return href.Quarantine, tx.Note(ctx, entry, family, quarantined.ID.UUID)
	})
}

func (a *App) acceptQuarantined(ctx context.Context, tx *postgres.Tx, quarantined postgres.Quarantined) error {
	known, err := tx.LockDelivery(ctx, postgres.Delivery{ID: quarantined.ID, Placement: quarantined.PlacementID, SHA256: recording.Sum(nil), Closing: true})
	if err != nil {
		return err
	}
	invalid := &newel.Invalid{}
	switch {
	case known.Erased:
		return newel.ErrGone
	case known.Facts == nil:
		invalid.Add("take_in", "quarantine.unknown_placement")
		return invalid
	case known.Before != nil && (known.Before.AuthorID != quarantined.AccountID || known.Before.PlacementID != quarantined.PlacementID):
		invalid.Add("take_in", "quarantine.id_taken")
		return invalid
	}
	r, first, err := mergeQuarantined(known, quarantined)
	if err != nil {
		return err
	}
	reading.Summarize(&r, recording.Apply(r.State, known.Amendments), known.People, known.Facts.HelpLevels)
	var rest *newel.AssignmentID
	if first && r.Distress {
		rest = &known.Facts.AssignmentID
	}
	for _, receipt := range receiptsOf(quarantined) {
		// The phone may send the same bytes again and must get the same answer.
		if _, err := tx.SaveRecording(ctx, postgres.MergedRecording{Recording: r, Receipt: receipt, Rest: rest}); err != nil {
			return err
		}
	}
	if !r.Closed {
		return nil
	}
	return a.evaluateAgain(ctx, tx, r.PlacementID)
}

// mergeQuarantined merges a quarantined recording with the stored one, and
// reports whether that closes it. Times are computed from when it was received,
// as if it had been accepted at once; the phone's clock at sending is no longer
// known.
func mergeQuarantined(known postgres.DeliveryState, quarantined postgres.Quarantined) (r recording.Kept, first bool, err error) {
	g := known.Facts
	r = recording.Kept{ID: quarantined.ID, FamilyID: g.FamilyID, PlacementID: g.PlacementID, AuthorID: quarantined.AccountID, ReceivedAt: quarantined.ReceivedAt}
	if known.Before != nil {
		r = *known.Before
	}
	first = !r.Closed && quarantined.Body.Closed()
	open := !r.Closed
	if r.State, err = recording.Merge(r.State, quarantined.Body); err != nil {
		return r, false, err
	}
	r.Closed = r.State.Closed()
	if open {
		zone, err := timezone.Load(g.TimeZone)
		if err != nil {
			return r, false, err
		}
		view := recording.Apply(r.State, known.Amendments)
		reading.SetTimes(&r, recording.Effective(view, recording.Arrival{ReceivedAt: quarantined.ReceivedAt, NotBefore: g.BeganAt, Zone: zone}))
	}
	if first {
		r.ClosedAt = &quarantined.ReceivedAt
	}
	return r, first, nil
}

func receiptsOf(quarantined postgres.Quarantined) []recording.Receipt {
	out := make([]recording.Receipt, 0, len(quarantined.Receipts))
	for _, r := range quarantined.Receipts {
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b recording.Receipt) int { return a.StoredAt.Compare(b.StoredAt) })
	return out
}
