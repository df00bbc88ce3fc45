package app

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
)

// ProgramState is a program as one of its versions has it, or the draft.
type ProgramState struct {
	Program  program.Program
	Document program.Document
	Number   int // 0: the draft
	Latest   int // the latest version; 0 if none is published
}

// ProgramState gives a state of a program by its name: the number of a
// version, or DraftName. An empty name is the latest version, or the draft
// where nothing is published.
func (a *App) ProgramState(ctx context.Context, actor newel.Actor, id newel.ProgramID, name string) (v ProgramState, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		latest, err := tx.LatestVersion(ctx, id)
		if err != nil && !errors.Is(err, newel.ErrNotFound) {
			return err
		}
		v.Latest = latest.Number
		switch name {
		case "":
			if v.Number, v.Document = latest.Number, latest.Document; v.Number == 0 {
				v.Document, err = stateOf(ctx, tx, id, DraftName)
				return err
			}
		case DraftName:
		default:
			if v.Number, err = strconv.Atoi(name); err != nil {
				return fmt.Errorf("version %q: %w", name, newel.ErrNotFound)
			}
		}
		if name != "" {
			v.Document, err = stateOf(ctx, tx, id, name)
			return err
		}
		return nil
	})
	return v, err
}

// LearnerCopy is a program as one learner is taught it.
type LearnerCopy struct {
	Placement  newel.Placement
	Assignment newel.Assignment
	Learner    newel.Learner
	Program    program.Program
	Version    program.Version
}

// LearnerCopy gives the program by which a placement is taught, and what is
// the learner's own in it.
func (a *App) LearnerCopy(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (v LearnerCopy, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		if v.Placement, err = tx.Placement(ctx, placement); err != nil {
			return err
		}
		if v.Assignment, err = tx.Assignment(ctx, v.Placement.AssignmentID); err != nil {
			return err
		}
		if v.Learner, err = tx.Learner(ctx, v.Assignment.LearnerID); err != nil {
			return err
		}
		if v.Program, err = tx.Program(ctx, v.Assignment.ProgramID); err != nil {
			return err
		}
		v.Version, err = tx.VersionOf(ctx, placement)
		return err
	})
	return v, err
}

// PreviewView is what a family's phone would show of a step.
type PreviewView struct {
	ProgramState
	Kit   program.Kit
	Offer program.DayOffer
}

// Preview puts together what a phone would get of a step, for nobody: the
// child has the name given, and may be touched, so that all help is shown.
func (a *App) Preview(ctx context.Context, actor newel.Actor, id newel.ProgramID, step, state, child string) (v PreviewView, err error) {
	if v.ProgramState, err = a.ProgramState(ctx, actor, id, state); err != nil {
		return v, err
	}
	_, s := v.Document.Step(step)
	if s == nil {
		return v, fmt.Errorf("step %s: %w", step, newel.ErrNotFound)
	}
	p := newel.Placement{StepKey: step, PlannedHelp: s.PlannedHelp}
	anybody := newel.Learner{Nickname: child, Care: newel.Care{TouchAllowed: true}}
	v.Kit = program.MakeKit(p, nil, anybody, &v.Document, program.KitFor{Language: v.Document.Language})
	v.Offer = reading.OfferOf(reading.Taught{StepKey: step, Document: v.Document})
	return v, nil
}
