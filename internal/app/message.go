package app

import (
	"context"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// MostMessages is how many messages a page shows.
const MostMessages = 100

// FamilyMessages gives a family and what it and the clinic have written to each
// other, the newest first, at most MostMessages.
func (a *App) FamilyMessages(ctx context.Context, actor newel.Actor, family newel.FamilyID) (f newel.Family, list []newel.Message, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		if f, err = tx.Family(ctx, family); err != nil {
			return err
		}
		list, err = tx.Messages(ctx, family, MostMessages)
		return err
	})
	return f, list, err
}

// OwnMessages is the same for a caregiver, of the own family.
func (a *App) OwnMessages(ctx context.Context, actor newel.Actor) (list []newel.Message, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		family, err := ownFamily(tx)
		if err != nil {
			return err
		}
		list, err = tx.Messages(ctx, family, MostMessages)
		return err
	})
	return list, err
}

// WriteToFamily keeps a message of the clinic. Whoever answers has read what
// was there: until names the newest message that was shown; zero: none was.
func (a *App) WriteToFamily(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, text string, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		return href.FamilyMessages.To(family), write(ctx, tx, family, text, until)
	})
}

// WriteToClinic keeps a message of a caregiver; until as in WriteToFamily.
func (a *App) WriteToClinic(ctx context.Context, actor newel.Actor, form Form, text string, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		family, err := ownFamily(tx)
		if err != nil {
			return "", err
		}
		return href.Messages, write(ctx, tx, family, text, until)
	})
}

// ownFamily is the one family that a caregiver reaches.
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
	if _, err := tx.ReadMessages(ctx, family, until); err != nil {
		return err
	}
	if err := tx.Write(ctx, m); err != nil {
		return err
	}
	return tx.Note(ctx, "message.written", family, m.ID.UUID)
}

// ReadFamilyMessages notes that the clinic has read what a family wrote, up to
// the message until. Read before is the same.
func (a *App) ReadFamilyMessages(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Family(ctx, family); err != nil {
			return "", err
		}
		return href.FamilyMessages.To(family), markRead(ctx, tx, family, until)
	})
}

// ReadOwnMessages notes the same for a family, of what the clinic wrote.
func (a *App) ReadOwnMessages(ctx context.Context, actor newel.Actor, form Form, until newel.MessageID) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		family, err := ownFamily(tx)
		if err != nil {
			return "", err
		}
		return href.Messages, markRead(ctx, tx, family, until)
	})
}

func markRead(ctx context.Context, tx *postgres.Tx, family newel.FamilyID, until newel.MessageID) error {
	list, err := tx.ReadMessages(ctx, family, until)
	if err != nil || len(list) == 0 {
		return err
	}
	return tx.Note(ctx, "message.read", family, until.UUID)
}
