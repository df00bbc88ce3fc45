package app

import (
	"context"
	"slices"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// VerdictInput is the reported outcome of a decision.
type VerdictInput struct {
	Came newel.ExpectationResult
	Line string // may be empty
}

// RecordOutcome records the outcome of a decision with an expectation, about
// the placement or another of its assignment. Earlier entries are kept. It
// returns the location of the placement's page.
func (a *App) RecordOutcome(ctx context.Context, actor newel.Actor, form Form, placement newel.PlacementID, decision newel.DecisionID, in VerdictInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		p, err := tx.Placement(ctx, placement)
		if err != nil {
			return "", err
		}
		decisions, err := tx.Decisions(ctx, p.AssignmentID)
		if err != nil {
			return "", err
		}
		at := slices.IndexFunc(decisions, func(d newel.DecisionRow) bool { return d.ID == decision && d.Expected != "" })
		if at < 0 {
			return "", newel.ErrNotFound
		}
		var e newel.Invalid
		v := newel.Verdict{
			ID: newel.NewID[newel.VerdictID](), FamilyID: p.FamilyID, DecisionID: decision, Came: in.Came,
			Line: e.Text("line", in.Line, newel.MaxNote, false),
		}
		if !slices.Contains(newel.ExpectationResults, in.Came) {
			e.Add("came", "verdict.choose")
		}
		if err := e.OrNil(); err != nil {
			return "", err
		}
		if err := tx.AddVerdict(ctx, v); err != nil {
			return "", err
		}
		return href.Decision(placement, decision), tx.Note(ctx, "decision.verdict", v.FamilyID, v.ID.UUID)
	})
}
