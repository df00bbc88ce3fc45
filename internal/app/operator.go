package app

import (
	"context"
	"fmt"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// Operator works on one clinic's programs for the operator's commands. It has
// no account: its audit entries begin with "command." and name none.
type Operator struct {
	app    *App
	Clinic newel.Clinic
}

// Operators returns an Operator for each clinic that has been set up, oldest
// first.
func (a *App) Operators(ctx context.Context) (list []Operator, err error) {
	err = a.db.WithKey(ctx, postgres.KeyStart, func(tx *postgres.Tx) error {
		clinics, err := tx.UnscopedClinics(ctx)
		list = nil
		for _, c := range clinics {
			if c.Name != "" {
				list = append(list, Operator{a, c})
			}
		}
		return err
	})
	return list, err
}

func (o Operator) act(ctx context.Context, fn func(*postgres.Tx) error) error {
	return o.app.db.InScope(ctx, wholeClinic(o.Clinic.ID), fn)
}

// Programs lists the clinic's programs, including archived ones.
func (o Operator) Programs(ctx context.Context) (list []program.Summary, err error) {
	err = o.act(ctx, func(tx *postgres.Tx) error {
		list, err = tx.Programs(ctx)
		return err
	})
	return list, err
}

// Export returns a program with its pictures. state is a version number or
// DraftName; empty for the latest version, or else the draft.
func (o Operator) Export(ctx context.Context, id newel.ProgramID, state string) (f ProgramFile, err error) {
	err = o.act(ctx, func(tx *postgres.Tx) error {
		if f, err = exported(ctx, tx, id, state); err != nil {
			return err
		}
		return tx.Note(ctx, "command.program_exported", newel.FamilyID{}, id.UUID)
	})
	return f, err
}

// Import starts a program as a draft and returns its editor's location.
func (o Operator) Import(ctx context.Context, f ProgramFile) (location string, err error) {
	err = o.act(ctx, func(tx *postgres.Tx) error {
		id, err := beginFrom(ctx, tx, f, program.Program{Origin: OriginImport})
		if err != nil {
			return fmt.Errorf("import a program: %w", err)
		}
		location = href.Draft.To(id)
		return tx.Note(ctx, "command.program_begun", newel.FamilyID{}, id.UUID)
	})
	return location, err
}
