package app

import (
	"context"
	"errors"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// Library lists the clinic's programs.
func (a *App) Library(ctx context.Context, actor newel.Actor) (programs []program.Summary, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		programs, err = tx.Programs(ctx)
		return err
	})
	return programs, err
}

// ProgramInput starts a new program.
type ProgramInput struct{ Title, SkillArea string }

// NewProgram starts a program with an empty draft and returns its editor's
// location.
func (a *App) NewProgram(ctx context.Context, actor newel.Actor, form Form, in ProgramInput) (string, error) {
	var e newel.Invalid
	title := e.Line("title", in.Title, newel.MaxLine, true)
	area := e.Line("skill_area", in.SkillArea, newel.MaxName, false)
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		p := program.Program{ID: newel.NewID[newel.ProgramID](), Title: title, SkillArea: area}
		d := program.Blank(title)
		d.SkillArea = area
		if err := tx.AddProgram(ctx, p, d); err != nil {
			return "", err
		}
		return href.Draft.To(p.ID), tx.Note(ctx, "authoring.begun", newel.FamilyID{}, p.ID.UUID)
	})
}

// ProgramView is a program as the library shows it.
type ProgramView struct {
	Program  program.Program
	Version  *program.Version // the latest; nil before the first is published
	Versions []program.VersionSummary
	Learners []newel.ProgramLearner
	HasDraft bool
}

// Program returns a program with its latest version.
func (a *App) Program(ctx context.Context, actor newel.Actor, id newel.ProgramID) (v ProgramView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		if v.Versions, err = tx.Versions(ctx, id); err != nil {
			return err
		}
		if len(v.Versions) > 0 {
			version, err := tx.LatestVersion(ctx, id)
			if err != nil {
				return err
			}
			v.Version = &version
		}
		if v.Learners, err = tx.ProgramLearners(ctx, id); err != nil {
			return err
		}
		_, err := tx.Draft(ctx, id)
		v.HasDraft = err == nil
		return ignore(err, newel.ErrNotFound)
	})
	return v, err
}

// ignore turns errors of one kind into nil.
func ignore(err, kind error) error {
	if errors.Is(err, kind) {
		return nil
	}
	return err
}
