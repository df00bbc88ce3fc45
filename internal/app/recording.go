package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/recording"
	"newel/internal/timezone"
)

// Delivered is a document as a phone sends it.
type Delivered struct {
	ID   newel.RecordingID // from the URL
	Body []byte
	Sent recording.Sent // what the phone's clocks showed
	// Sealed: only the server can decrypt the body (recording.Sealed).
	Sealed bool
}

// Stored is the answer to a delivery.
type Stored struct {
	Receipt recording.Receipt
	Created bool // the recording was unknown before
}

// errElsewhere is internal: the document's id or placement is out of reach. The
// document is quarantined, and the phone is never told why.
var errElsewhere = errors.New("belongs elsewhere")

// StoreRecording stores what a phone sends and returns a receipt. Sending the
// same body again returns the same receipt and does nothing else. If the actor
// cannot reach the placement, or the id is taken, the document is quarantined.
// The answer does not reveal which of these is the case, or whether the
// placement exists.
//
// Callers distinguish these errors: those of recording.Decode;
// newel.ErrUnauthenticated if another account is the author (the phone keeps
// the document for that person); newel.ErrGone if the recording was erased;
// newel.ErrBusy.
func (a *App) StoreRecording(ctx context.Context, actor newel.Actor, in Delivered) (Stored, error) {
	d, err := a.documentIn(ctx, actor, in)
	if err != nil {
		return Stored{}, err
	}
	switch {
	case d.ID != in.ID:
		return Stored{}, &recording.InvalidError{Path: "id", Problem: "is not the one in the address"}
	case d.Author != actor.Account:
		return Stored{}, fmt.Errorf("document of %s: %w", d.Author, newel.ErrUnauthenticated)
	}
	var out Stored
	var due bool
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) (err error) {
		out, due, err = a.store(ctx, tx, d, in)
		return err
	})
	if err == nil && due {
		a.advanceSoon(ctx, actor.Clinic, d.Placement)
	}
	if errors.Is(err, errElsewhere) || errors.Is(err, newel.ErrNotFound) {
		// The id is taken by a family out of reach: the insert hit a row that
		// it cannot see.
		err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) (err error) {
			out, err = a.quarantine(ctx, tx, d, in.Body)
			return err
		})
	}
	return out, err
}

// store merges a document into what is stored and evaluates the placement if
// the document closes the recording. due reports that a rule may now advance
// the step.
func (a *App) store(ctx context.Context, tx *postgres.Tx, d recording.Document, in Delivered) (_ Stored, due bool, _ error) {
	known, err := tx.LockDelivery(ctx, deliveryOf(d, in.Body))
	if err != nil {
		return Stored{}, false, err
	}
	switch {
	case known.Erased:
		return Stored{}, false, newel.ErrGone
	case known.Receipt != nil:
		return Stored{Receipt: *known.Receipt}, false, nil
	case known.Facts == nil, known.Before != nil && (known.Before.AuthorID != d.Author || known.Before.PlacementID != d.Placement):
		return Stored{}, false, errElsewhere
	}
	k, err := a.keeping(tx.Now(), known, d, in)
	if err != nil {
		return Stored{}, false, err
	}
	if d.Closing != nil {
		g := *known.Facts
		g.Sessions = reading.WithSession(g.Sessions, k.Recording)
		g.Decided = reading.WithLate(g.Decided, k.Recording)
		reading, err := a.evaluate.Evaluate(g, tx.Now())
		if err != nil {
			a.logUnevaluated(ctx, g.PlacementID, err)
			readingErr, err := tx.SaveRecording(ctx, k)
			return Stored{k.Receipt, known.Before == nil}, false, errors.Join(readingErr, err, tx.MarkStale(ctx, g.FamilyID, g.PlacementID))
		}
		k.Reading, due = &reading, reading.ByRule
	}
	readingErr, err := tx.SaveRecording(ctx, k)
	if err == nil && readingErr != nil {
		a.logUnevaluated(ctx, known.Facts.PlacementID, readingErr)
		due, err = false, tx.MarkStale(ctx, known.Facts.FamilyID, known.Facts.PlacementID)
	}
	return Stored{k.Receipt, known.Before == nil}, due, err
}

func deliveryOf(d recording.Document, body []byte) postgres.Delivery {
	return postgres.Delivery{ID: d.ID, Placement: d.Placement, SHA256: recording.Sum(body), Closing: d.Closing != nil}
}

// keeping returns what to write after the document has been merged.
func (a *App) keeping(now time.Time, known postgres.DeliveryState, d recording.Document, in Delivered) (postgres.MergedRecording, error) {
	g := known.Facts
	r := recording.Kept{ID: d.ID, FamilyID: g.FamilyID, PlacementID: g.PlacementID, AuthorID: d.Author, ReceivedAt: now}
	if known.Before != nil {
		r = *known.Before
	}
	state, err := recording.Merge(r.State, recording.Of(d))
	if err != nil {
		return postgres.MergedRecording{}, err
	}
	wasClosed := r.Closed
	r.State, r.Closed = state, state.Closed()
	view := recording.Apply(state, known.Amendments)
	if !wasClosed { // times are computed once, from the first closing document
		zone, err := timezone.Load(g.TimeZone)
		if err != nil {
			return postgres.MergedRecording{}, fmt.Errorf("time zone of %s: %w", g.FamilyID, err)
		}
		reading.SetTimes(&r, recording.Effective(view, recording.Arrival{ReceivedAt: now, Sent: in.Sent, NotBefore: g.BeganAt, Zone: zone}))
	}
	if r.Closed && r.ClosedAt == nil {
		r.ClosedAt = &now
	}
	reading.Summarize(&r, view, known.People, g.HelpLevels)
	k := postgres.MergedRecording{Recording: r, Receipt: recording.MakeReceipt(state, d.Contract, in.Body, now)}
	if r.Closed && !wasClosed && r.Distress {
		k.Rest = &g.AssignmentID
	}
	return k, nil
}

// quarantine stores a document that must not be counted.
func (a *App) quarantine(ctx context.Context, tx *postgres.Tx, d recording.Document, body []byte) (Stored, error) {
	known, err := tx.LockDelivery(ctx, deliveryOf(d, body))
	switch {
	case err != nil:
		return Stored{}, err
	case known.Erased:
		return Stored{}, newel.ErrGone
	case known.Receipt != nil:
		return Stored{Receipt: *known.Receipt}, nil
	}
	var before recording.State
	if known.Quarantined != nil {
		before = *known.Quarantined
	}
	state, err := recording.Merge(before, recording.Of(d))
	if err != nil {
		return Stored{}, err
	}
	why := reasonIDTaken
	if known.Facts == nil {
		why = reasonNoAccess
	}
	receipt := recording.MakeReceipt(state, d.Contract, body, tx.Now())
	receipt.Quarantined = true
	a.log.WarnContext(ctx, "recording kept in quarantine", "recording", d.ID, "account", d.Author, "why", why)
	return Stored{receipt, known.Quarantined == nil}, tx.Quarantine(ctx, state, d.Placement, why, receipt)
}

// Why a recording is in quarantine.
const (
	reasonNoAccess = "no_access" // placement unknown or out of the author's reach
	reasonIDTaken  = "taken"     // another recording has its id
)
