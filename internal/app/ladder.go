package app

import (
	"context"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/writing"
)

// LadderView is a series of steps about to be added.
type LadderView struct {
	Program program.Program
	Rev     int
	Lines   string // initial values of the fields
	Title   string // of the step that it follows
	Next    string // the next label after that step's; empty if there is none
	Steps   []program.Step
}

// Ladder returns a series of steps without adding it.
func (a *App) Ladder(ctx context.Context, actor newel.Actor, id newel.ProgramID, in writing.LadderInput) (v LadderView, err error) {
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		draft, err := tx.Draft(ctx, id)
		if err != nil {
			return err
		}
		v.Rev, v.Title, v.Lines = draft.Rev, draft.Document.StepTitle(in.After), in.Lines
		if _, after := draft.Document.Step(in.After); after != nil {
			v.Next = program.NextLabel(after.Label)
		}
		if v.Lines == "" {
			v.Lines = in.DefaultLines(&draft.Document)
		}
		in.Lines = v.Lines
		if in.Kind == "" || strings.TrimSpace(in.Lines) == "" {
			return nil
		}
		v.Steps, err = in.Steps(&draft.Document)
		return err
	})
	return v, err
}

// InsertLadder adds a series of steps to the draft and returns the first one's
// location.
func (a *App) InsertLadder(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in writing.LadderInput) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		draft, err := tx.LockDraft(ctx, id)
		if err != nil {
			return "", err
		}
		document := draft.Document.Clone()
		steps, err := in.Steps(&document)
		if err != nil {
			return "", err
		}
		if !document.InsertSteps(in.Strand, in.After, steps...) {
			return "", newel.ErrConflict // the step that it was to follow is gone
		}
		if err := putDraft(ctx, tx, draft, document, "ladder:"); err != nil {
			return "", err
		}
		return href.DraftStep(id, steps[0].Key) + "#f-" + program.StepField(steps[0].Key, "name"), nil
	})
}
