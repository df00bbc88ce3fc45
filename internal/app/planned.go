package app

import (
	"context"
	"errors"
	"slices"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// PlanSession plans the kind of a placement's next session, or whether a
// learned step is checked. Earlier plans are kept; the latest counts. It
// returns the location of the plan on the placement's page.
func (a *App) PlanSession(ctx context.Context, actor newel.Actor, form Form, placement newel.PlacementID, kind newel.PlannedKind) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		p, err := progressOf(ctx, tx, placement)
		if err != nil {
			return "", err
		}
		if err := addPlan(ctx, tx, &p); err != nil {
			return "", err
		}
		if !slices.Contains(p.Plannable(), kind) {
			var e newel.Invalid
			e.Add("plan", "planned.choose")
			return "", e.OrNil()
		}
		plan := newel.PlannedSession{ID: newel.NewID[newel.PlannedSessionID](), FamilyID: p.Placement.FamilyID, PlacementID: placement, Kind: kind}
		if err := tx.AddPlanned(ctx, plan); err != nil {
			return "", err
		}
		return href.PlacementPlan(placement), tx.Note(ctx, "teaching.session_planned", plan.FamilyID, plan.ID.UUID)
	})
}

// addPlan adds what is planned for the next session of the page's placement.
func addPlan(ctx context.Context, tx *postgres.Tx, p *reading.Progress) (err error) {
	if p.Planned, err = tx.Planned(ctx, p.Placement.ID); err != nil {
		return err
	}
	if p.Placement.EndedAt == nil {
		tallies, err := tx.SessionTallies(ctx, []newel.PlacementID{p.Placement.ID})
		if err != nil {
			return err
		}
		ahead, err := plansAhead(ctx, tx)
		if err != nil {
			return err
		}
		for _, t := range tallies {
			p.Tally = t.SessionTally
		}
		p.NextKinds = p.Step.KindsAhead(p.Tally, ahead[p.Placement.ID])
		return nil
	}
	learned, err := tx.LearnedCheck(ctx, p.Placement.ID)
	if errors.Is(err, newel.ErrNotFound) {
		return nil
	}
	p.Learned = &learned
	return err
}
