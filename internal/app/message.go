package app

import (
	"context"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// MaxMessages is the maximum number of messages on a page.
const MaxMessages = 100

// FamilyMessages returns a family and its messages with the clinic, newest
// first, at most MaxMessages.
func (a *App) FamilyMessages(ctx context.Context, actor newel.Actor, family newel.FamilyID) (f newel.Family, list []newel.Message, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		if f, err = tx.Family(ctx, family); err != nil {
			return err
		}
		list, err = tx.Messages(ctx, family, MaxMessages)
		return err
	})
	return f, list, err
}

// OwnMessages is FamilyMessages for a caregiver's own family.
func (a *App) OwnMessages(ctx context.Context, actor newel.Actor) (list []newel.Message, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		family, err := ownFamily(tx)
		if err != nil {
			return err
		}
		list, err = tx.Messages(ctx, family, MaxMessages)
		return err
	})
	return list, err
}

// WriteToFamily sends a message from the clinic. It also marks earlier messages
// as read: until is the newest message that was shown, or zero if there was
// none.
func (a *App) WriteToFamily(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, text string, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		return href.FamilyMessages.To(family), write(ctx, tx, family, text, until)
	})
}

// WriteToClinic sends a caregiver's message; until is as in WriteToFamily.
func (a *App) WriteToClinic(ctx context.Context, actor newel.Actor, form Form, text string, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		family, err := ownFamily(tx)
		if err != nil {
			return "", err
		}
		return href.Messages, write(ctx, tx, family, text, until)
	})
}

// ownFamily returns the one family that a caregiver reaches.
func ownFamily(tx *postgres.Tx) (newel.FamilyID, error) {
	families := tx.Scope().Families
	if len(families) != 1 {
		return newel.FamilyID{}, newel.ErrNotFound
	}
	return families[0], nil
}

func write(ctx context.Context, tx *postgres.Tx, family newel.FamilyID, text string, until newel.MessageID) error {
	var e newel.Invalid
	m := newel.Message{ID: newel.NewID[newel.MessageID](), FamilyID: family, Text: e.Text("message", text, newel.MaxNote, true)}
	if err := e.OrNil(); err != nil {
		return err
	}
	if _, err := tx.Family(ctx, family); err != nil {
		return err
	}
	if _, err := tx.MarkMessagesRead(ctx, family, until); err != nil {
		return err
	}
	if err := tx.Write(ctx, m); err != nil {
		return err
	}
	return tx.Note(ctx, "message.written", family, m.ID.UUID)
}

// MarkFamilyMessagesRead marks a family's messages up to until as read by the
// clinic. Doing it again changes nothing.
func (a *App) MarkFamilyMessagesRead(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Family(ctx, family); err != nil {
			return "", err
		}
		return href.FamilyMessages.To(family), markRead(ctx, tx, family, until)
	})
}

// MarkOwnMessagesRead marks the clinic's messages as read by a family.
func (a *App) MarkOwnMessagesRead(ctx context.Context, actor newel.Actor, form Form, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		family, err := ownFamily(tx)
		if err != nil {
			return "", err
		}
		return href.Messages, markRead(ctx, tx, family, until)
	})
}

func markRead(ctx context.Context, tx *postgres.Tx, family newel.FamilyID, until newel.MessageID) error {
	list, err := tx.MarkMessagesRead(ctx, family, until)
	if err != nil || len(list) == 0 {
		return err
	}
	return tx.Note(ctx, "message.read", family, until.UUID)
}
