package app

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/picture"
	"newel/internal/postgres"
	"newel/internal/program"
)

// PictureInput is a picture for a step or one of its targets.
type PictureInput struct {
	Step   string // key
	Target string // key; empty for the step itself
	Body   []byte // empty to keep the existing picture
	Alt    string // description of the picture
	// Everywhere also adds it to targets of that name on other steps.
	Everywhere bool
}

// cleaning is held while a picture is decoded: one at a time, to limit the
// memory that decoding takes.
var cleaning sync.Mutex

// cleaned returns an uploaded picture in the form in which it is stored, or nil
// if there is none.
func cleaned(body []byte) (*newel.Picture, error) {
	if len(body) == 0 {
		return nil, nil
	}
	cleaning.Lock()
	defer cleaning.Unlock()
	body, err := picture.Clean("picture", body)
	if err != nil {
		return nil, err
	}
	p, err := newel.ReadPicture("picture", body)
	return &p, err
}

// AddPicture adds or replaces the picture of a draft's step or target, and
// returns the location of the step's pictures. Without a picture it changes the
// description of the existing one.
func (a *App) AddPicture(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in PictureInput) (string, error) {
	if err := actor.Require(newel.DraftProgram); err != nil { // before anything is decoded
		return "", fmt.Errorf("%s: %w", newel.DraftProgram, err)
	}
	var e newel.Invalid
	alt := e.Line("alt", in.Alt, newel.MaxLine, true)
	p, err := cleaned(in.Body)
	var refused *newel.Invalid
	if errors.As(err, &refused) {
		e.Problems = append(e.Problems, refused.Problems...)
	} else if err != nil {
		return "", err
	}
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		if p != nil {
			if err := tx.AddPicture(ctx, *p); err != nil {
				return "", err
			}
		}
		return setPicture(ctx, tx, id, in, func(before *newel.PictureRef) (*newel.PictureRef, error) {
			ref := newel.PictureRef{}
			switch {
			case p != nil:
				ref = p.Ref(alt)
			case before == nil:
				return nil, &newel.Invalid{Problems: []newel.Problem{{Field: "picture", Key: "picture.none_chosen"}}}
			default:
				ref = *before
				ref.Alt = alt
			}
			return &ref, nil
		})
	})
}

// DropPicture removes the picture of a draft's step or target. The picture
// stays in the database for a while: an older version may show it, and undo may
// restore it.
func (a *App) DropPicture(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in PictureInput) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		return setPicture(ctx, tx, id, in, func(*newel.PictureRef) (*newel.PictureRef, error) { return nil, nil })
	})
}

// setPicture changes a picture as one state in a draft's history.
func setPicture(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, in PictureInput, change func(before *newel.PictureRef) (*newel.PictureRef, error)) (string, error) {
	draft, err := tx.LockDraft(ctx, id)
	if err != nil {
		return "", err
	}
	document := draft.Document.Clone()
	_, step := document.Step(in.Step)
	if step == nil || in.Target != "" && step.Target(in.Target) == nil {
		return "", fmt.Errorf("step %s of the draft: %w", in.Step, newel.ErrNotFound)
	}
	name, at := step.Label, &step.Picture
	if in.Target != "" {
		name, at = step.Target(in.Target).Name, &step.Target(in.Target).Picture
	}
	ref, err := change(*at)
	if err != nil {
		return "", err
	}
	*at = ref
	if in.Target != "" && in.Everywhere {
		for _, t := range document.TargetsNamed(name) {
			t.Picture = ref
		}
	}
	edit := "picture:"
	if ref == nil {
		edit = "picture-off:"
	}
	next := draft.Next(document, edit+name, tx.Scope().Account, tx.Now())
	if err := tx.PutDraft(ctx, id, draft.Rev, next); err != nil {
		return "", err
	}
	return href.Draft.To(id) + href.StepPictures(in.Step), tx.Note(ctx, "authoring.picture", newel.FamilyID{}, id.UUID)
}

// Picture returns a picture. Staff reach all pictures of the clinic; caregivers
// reach those in their kits.
func (a *App) Picture(ctx context.Context, actor newel.Actor, sha256 string) (p newel.Picture, err error) {
	err = a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
		p, err = tx.Picture(ctx, sha256)
		return err
	})
	return p, err
}

// pictureStored is how long an unused picture is kept after it was added.
const pictureStored = 30 * 24 * time.Hour

// ClearPictures removes old pictures that no version or draft uses, in every
// clinic.
func (a *App) ClearPictures(ctx context.Context) error {
	clinics, err := a.clinics(ctx)
	for _, clinic := range clinics {
		if err != nil {
			break
		}
		err = a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
			n, err := tx.ClearPictures(ctx, tx.Now().Add(-pictureStored))
			if err != nil || n == 0 {
				return err
			}
			return tx.Note(ctx, "clinic.pictures_cleared", newel.FamilyID{}, clinic.UUID)
		})
	}
	return err
}

// storedPictures rejects a document with a picture that the clinic does not
// have, as an imported one may.
func storedPictures(ctx context.Context, tx *postgres.Tx, d *program.Document) error {
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
		e.Add(program.StepField(key, "targets"), "picture.missing")
	}
	return e.OrNil()
}
