package app

import (
	"context"
	"fmt"

	"newel/internal/letter"
	"newel/internal/newel"
	"newel/internal/recording"
)

// LetterIn is a letter as a phone sends it.
type LetterIn struct {
	ID     newel.LetterID // from the URL
	Body   []byte
	Sealed bool // only the server can decrypt the body (recording.Sealed)
}

// StoreLetter does what the letter asks for, as its form would, and returns a
// receipt. The letter's id is the token of the form: sending it again returns
// the same receipt and does nothing else.
//
// Callers distinguish these errors: those of letter.Decode, *newel.Invalid for
// what the form would refuse, newel.ErrConflict if someone else has answered the
// question, newel.ErrNotFound if the actor cannot reach what the letter is about,
// and newel.ErrUnauthenticated if another account wrote it (the phone keeps it
// for that person).
func (a *App) StoreLetter(ctx context.Context, actor newel.Actor, in LetterIn) (letter.Receipt, error) {
	body := in.Body
	if in.Sealed {
		opened, err := a.openedLetter(ctx, actor, in)
		if err != nil {
			return letter.Receipt{}, err
		}
		body = opened
	}
	l, err := letter.Decode(body)
	switch {
	case err != nil:
		return letter.Receipt{}, err
	case l.ID != in.ID.UUID:
		return letter.Receipt{}, &recording.InvalidError{Path: "id", Problem: "is not the one in the address"}
	case l.Author != actor.Account:
		return letter.Receipt{}, fmt.Errorf("letter of %s: %w", l.Author, newel.ErrUnauthenticated)
	}
	if err := a.deliver(ctx, actor, l); err != nil {
		return letter.Receipt{}, err
	}
	return letter.ReceiptFor(l.ID, in.Body), nil
}

func (a *App) openedLetter(ctx context.Context, actor newel.Actor, in LetterIn) ([]byte, error) {
	sealed, err := recording.DecodeSealed(in.Body)
	if err != nil {
		return nil, err
	}
	return a.opened(ctx, actor, sealed)
}

func (a *App) deliver(ctx context.Context, actor newel.Actor, l letter.Letter) error {
	form, fields := Form{l.ID}, l.Fields
	var err error
	switch l.Kind {
	case letter.Message:
		until, _ := newel.ParseID[newel.MessageID](fields["until"]) // an invalid id marks nothing as read
		_, err = a.WriteToClinic(ctx, actor, form, fields["message"], until)
	case letter.Answer:
		id, wrong := newel.ParseID[newel.QuestionID](l.Of)
		if wrong != nil {
			return wrong
		}
		_, err = a.Answer(ctx, actor, form, id, fields["answer"])
	case letter.Incident:
		_, err = a.RecordOwnIncident(ctx, actor, form, IncidentInput{
			Learner: fields["learner"], HappenedOn: fields["happened_on"], AboutWhen: fields["about_when"], Before: fields["before"],
			Saw: fields["saw"], After: fields["after"], Helped: fields["helped"], Minutes: fields["minutes"], Hurt: fields["hurt"],
		})
	case letter.IncidentNote:
		id, wrong := newel.ParseID[newel.IncidentID](l.Of)
		if wrong != nil {
			return wrong
		}
		_, err = a.AddToIncident(ctx, actor, form, id, fields["note"])
	}
	return err
}
