package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/writing"
)

// Criterion evaluates a criterion of a draft's step.
func (a *App) Criterion(ctx context.Context, actor newel.Actor, id newel.ProgramID, in writing.CriterionInput) (v writing.CriterionView, err error) {
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		draft, err := tx.Draft(ctx, id)
		if err != nil {
			return err
		}
		_, step := draft.Document.Step(in.Step)
		if step == nil { // deleted in the meantime
			step = &program.Step{}
		}
		v = a.ReadCriterion(&draft.Document, step, in)
		return nil
	})
	return v, err
}

// ReadCriterion evaluates a criterion for a step.
func (a *App) ReadCriterion(d *program.Document, step *program.Step, in writing.CriterionInput) writing.CriterionView {
	return a.curves.ReadCriterion(d, step, in)
}
