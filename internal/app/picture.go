package app

import (
	"context"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// PictureInput is a picture for a step or one of its targets.
type PictureInput struct {
	Step   string // key
	Target string // key; empty: the step itself
	Body   []byte
	Alt    string // what it shows
}

// AddPicture puts a picture on a step of a draft, or on one of its targets,
// in place of the one there, and leads back to the step.
func (a *App) AddPicture(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in PictureInput) (string, error) {
	var e newel.Invalid
	alt := e.Line("alt", in.Alt, newel.MaxLine, true)
	if err := e.OrNil(); err != nil {
		return "", err
	}
	picture, err := newel.ReadPicture("picture", in.Body)
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.AddPicture(ctx, picture); err != nil {
			return "", err
		}
		ref := picture.Ref(alt)
		return setPicture(ctx, tx, id, in, &ref)
	})
}

// DropPicture takes a picture off a step of a draft, or off one of its
// targets. It is kept: an older version may show it.
func (a *App) DropPicture(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, step, target string) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		return setPicture(ctx, tx, id, PictureInput{Step: step, Target: target}, nil)
	})
}

func setPicture(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, in PictureInput, ref *newel.PictureRef) (string, error) {
	draft, err := tx.LockDraft(ctx, id)
	if err != nil {
		return "", err
	}
	if !draft.Document.SetPicture(in.Step, in.Target, ref) {
		return "", fmt.Errorf("step %s of the draft: %w", in.Step, newel.ErrNotFound)
	}
	if err := tx.SaveDraft(ctx, id, draft.Rev, draft.Document); err != nil {
		return "", err
	}
	return draftPath(id) + "#step-" + in.Step, tx.Note(ctx, "authoring.picture", newel.FamilyID{}, id.UUID)
}

// Picture gives a picture: to staff any of the clinic's, to a caregiver those
// that a kit of theirs names.
func (a *App) Picture(ctx context.Context, actor newel.Actor, sha256 string) (p newel.Picture, err error) {
	err = a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
		p, err = tx.Picture(ctx, sha256)
		return err
	})
	return p, err
}

// picturesThere refuses a document with a picture that the clinic has not
// got, as one may have that was brought from elsewhere.
func picturesThere(ctx context.Context, tx *postgres.Tx, d *newel.Document) error {
	steps := map[string]string{} // by picture
	var sums []string
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			step := &d.Strands[i].Steps[j]
			for _, p := range step.Pictures() {
				steps[p.SHA256] = step.Key
				sums = append(sums, p.SHA256)
			}
		}
	}
	if len(sums) == 0 {
		return nil
	}
	known, err := tx.KnownPictures(ctx, sums)
	if err != nil {
		return err
	}
	for _, sum := range known {
		delete(steps, sum)
	}
	var e newel.Invalid
	for _, key := range steps {
		e.Add(newel.StepField(key, "targets"), "picture.missing")
	}
	return e.OrNil()
}
