package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"newel/internal/letter"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/recording"
)

// reasonRescueFile is the quarantine reason for a recording that came in as a
// file from someone else.
const reasonRescueFile = "file"

// Rescue accepts one item of a rescue file, as the phone wrote it. It may come
// from the author, like any delivery, or from a person who settles quarantined
// sessions; then it is quarantined under the author's name.
//
// The outcome is one of recording's Rescue…; an error is not about the item.
func (a *App) Rescue(ctx context.Context, actor newel.Actor, raw json.RawMessage) (item recording.RescuedItem, err error) {
	sealed, err := recording.DecodeSealed(raw)
	if err != nil {
		return recording.RescuedItem{Outcome: recording.RescueUnreadable}, nil //nolint:nilerr // reported as the item's outcome
	}
	item.ID = sealed.ID.String()
	if a.isLetter(ctx, actor, sealed) {
		_, err := a.StoreLetter(ctx, actor, LetterIn{ID: newel.LetterID(sealed.ID), Body: raw, Sealed: true})
		item.Outcome, err = rescueOutcome(Stored{}, err)
		return item, err
	}
	stored, err := a.rescue(ctx, actor, Delivered{ID: sealed.ID, Body: raw, Sealed: true})
	item.Outcome, err = rescueOutcome(stored, err)
	if item.Outcome == recording.RescueStored || item.Outcome == recording.RescueQuarantined {
		item.Receipt = &stored.Receipt
	}
	return item, err
}

// isLetter reports whether a sealed item is what someone wrote, and not a
// session.
func (a *App) isLetter(ctx context.Context, actor newel.Actor, sealed recording.Sealed) bool {
	body, err := a.opened(ctx, actor, sealed)
	if err != nil {
		return false // the recording's path reports why
	}
	_, err = letter.Decode(body)
	return err == nil
}

func rescueOutcome(stored Stored, err error) (string, error) {
	var (
		invalid  *recording.InvalidError
		large    *recording.TooLargeError
		contract *recording.ContractError
		refused  *newel.Invalid
	)
	switch {
	case err == nil && stored.Receipt.Quarantined:
		return recording.RescueQuarantined, nil
	case err == nil:
		return recording.RescueStored, nil
	case errors.Is(err, newel.ErrGone):
		return recording.RescueGone, nil
	case errors.Is(err, newel.ErrUnauthenticated), errors.Is(err, newel.ErrNotFound), errors.Is(err, newel.ErrForbidden):
		return recording.RescueAnother, nil
	case errors.As(err, &invalid), errors.As(err, &large), errors.As(err, &contract), errors.As(err, &refused), errors.Is(err, newel.ErrConflict):
		return recording.RescueUnreadable, nil
	case errors.Is(err, newel.ErrBusy):
		return recording.RescueBusy, nil
	}
	return "", err
}

func (a *App) rescue(ctx context.Context, actor newel.Actor, in Delivered) (Stored, error) {
	d, err := a.documentIn(ctx, actor, in)
	if err != nil {
		return Stored{}, err
	}
	if d.Author == actor.Account || !actor.Can(newel.SettleQuarantine) {
		return a.StoreRecording(ctx, actor, in)
	}
	var out Stored
	err = a.act(ctx, actor, newel.SettleQuarantine, func(tx *postgres.Tx) (err error) {
		out, err = a.quarantineFor(ctx, tx, d, in.Body)
		return err
	})
	return out, err
}

func (a *App) quarantineFor(ctx context.Context, tx *postgres.Tx, d recording.Document, body []byte) (Stored, error) {
	known, err := tx.LockDelivery(ctx, deliveryOf(d, body)) // also serializes concurrent deliveries
	switch {
	case err != nil:
		return Stored{}, err
	case known.Erased:
		return Stored{}, newel.ErrGone
	case known.Receipt != nil:
		return Stored{Receipt: *known.Receipt}, nil
	}
	var before recording.State
	quarantined, err := tx.QuarantinedFrom(ctx, d.Author, d.ID)
	switch {
	case errors.Is(err, newel.ErrNotFound):
	case err != nil:
		return Stored{}, err
	default:
		if receipt, ok := quarantined.Receipts[recording.Sum(body)]; ok {
			return Stored{Receipt: receipt}, nil
		}
		before = quarantined.Body
	}
	state, err := recording.Merge(before, recording.Of(d))
	if err != nil {
		return Stored{}, fmt.Errorf("merge %s: %w", d.ID, err)
	}
	receipt := recording.MakeReceipt(state, d.Contract, body, tx.Now())
	receipt.Quarantined = true
	if err := tx.QuarantineFor(ctx, d.Author, state, d.Placement, reasonRescueFile, receipt); err != nil {
		return Stored{}, err
	}
	return Stored{receipt, true}, tx.Note(ctx, "quarantine.handed_in", familyOf(known), d.ID.UUID)
}

func familyOf(known postgres.DeliveryState) newel.FamilyID {
	if known.Facts == nil {
		return newel.FamilyID{}
	}
	return known.Facts.FamilyID
}
