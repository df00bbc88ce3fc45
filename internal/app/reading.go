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

// ProgramState is a program at one of its versions, or its draft.
type ProgramState struct {
	Program  program.Program
	Document program.Document
	Number   int // 0 for the draft
	Latest   int // latest version; 0 if none is published
}

// ProgramState returns a state of a program by its name: a version number or
// DraftName. An empty name is the latest version, or the draft if nothing is
// published.
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

// LearnerCopy is a program with one learner's changes.
type LearnerCopy struct {
	Placement  newel.Placement
	Assignment newel.Assignment
	Learner    newel.Learner
	Program    program.Program
	Version    program.Version
}

// LearnerCopy returns the program version of a placement and the changes for
// its learner.
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

// PreviewView is a step as a family's phone would show it.
type PreviewView struct {
	ProgramState
	Kit   program.Kit
	Offer program.DayOffer
}

// Preview returns what a phone would get for a step, for an imaginary child
// with the given name who may be touched, so that all prompts are shown.
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
	v.Offer = reading.OfferOf(reading.Taught{StepKey: step, Document: v.Document}, program.SessionTally{}, "")
	return v, nil
}
