package app

import (
	"context"
	"errors"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// advanceSoon advances a placement by rule after a recording has closed. It
// only logs errors: the recording is stored, and AdvanceByRule tries again.
func (a *App) advanceSoon(ctx context.Context, clinic newel.ClinicID, id newel.PlacementID) {
	if _, err := a.advanceByRule(ctx, clinic, id); err != nil {
		a.log.ErrorContext(ctx, "placement could not be advanced by rule; it will be tried again", "placement", id, "error", err)
	}
}

// advanceByRule ends a met placement whose step has such a rule, unless
// something is unsettled, and opens the next step. Doing it again changes
// nothing.
func (a *App) advanceByRule(ctx context.Context, clinic newel.ClinicID, id newel.PlacementID) (advanced bool, err error) {
	err = a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
		if err := tx.LockPlacement(ctx, id); err != nil {
			return err
		}
		row, err := tx.CaseloadRow(ctx, id)
		if err != nil || !row.ByRule {
			return err
		}
		around, err := tx.CaseloadContext(ctx)
		if err != nil || len(reading.RuleBars(row, around.Unsent[row.FamilyID.String()])) > 0 {
			return err
		}
		advanced, err = a.advanceNow(ctx, tx, id)
		return err
	})
	if errors.Is(err, newel.ErrNotFound) { // no longer open
		return false, nil
	}
	return advanced && err == nil, err
}

// advanceNow records the decision in the name of the person who published the
// version, because they signed off the rule. A last step is left to a person:
// no rule ends a program.
func (a *App) advanceNow(ctx context.Context, tx *postgres.Tx, id newel.PlacementID) (bool, error) {
	c, err := a.deciderOf(ctx, tx, id)
	if err != nil {
		return false, err
	}
	if !c.open() || c.version.Document.Following(c.placement.StepKey) == nil {
		return false, nil
	}
	scope := tx.Scope()
	scope.Account = c.version.PublishedBy
	if err := tx.Enter(ctx, scope); err != nil {
		return false, err
	}
	d := newel.Decision{
		ID: newel.NewID[newel.DecisionID](), FamilyID: c.placement.FamilyID, PlacementID: id, Kind: newel.DecisionAdvance, ByRule: true,
		Reading: c.reading.Body, Answered: c.reading.Gist,
	}
	if err := c.carryOut(ctx, tx, d, DecisionInput{}); err != nil {
		return false, err
	}
	return true, tx.Note(ctx, "decision.by_rule", d.FamilyID, d.ID.UUID)
}

// dueBatch limits one pass of AdvanceByRule in a clinic.
const dueBatch = 100

// AdvanceByRule makes pending advances by rule in every clinic: those missed
// because the process ended, and those whose obstacle has been removed.
func (a *App) AdvanceByRule(ctx context.Context) error {
	clinics, err := a.clinics(ctx)
	if err != nil {
		return err
	}
	for _, clinic := range clinics {
		var due []newel.PlacementID
		err := a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) (err error) {
			due, err = tx.RuleDue(ctx, dueBatch)
			return err
		})
		if err != nil {
			return err
		}
		for _, id := range due {
			a.advanceSoon(ctx, clinic, id)
		}
	}
	return nil
}
