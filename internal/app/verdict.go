package app

import (
	"context"
	"slices"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// VerdictInput is what somebody says came of a decision.
type VerdictInput struct {
	Came newel.Came
	Line string // may be empty
}

// SayWhatCame keeps what the actor says came of what a decision expected: a
// decision about the placement or about another of its assignment. What was
// said before stays. It leads back to the placement's page.
func (a *App) SayWhatCame(ctx context.Context, actor newel.Actor, form Form, placement newel.PlacementID, decision newel.DecisionID, in VerdictInput) (string, error) {
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
		if !slices.Contains(newel.CameKinds, in.Came) {
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

// VerdictsOn gives what was said to have come of a decision, newest first.
func (p Progress) VerdictsOn(id newel.DecisionID) []newel.Verdict {
	var on []newel.Verdict
	for _, v := range p.Verdicts {
		if v.DecisionID == id {
			on = append(on, v)
		}
	}
	return on
}

// Readings gives what the evaluator said when something was decided, and what
// it says now of the stay that the decision led to, or of the same.
func (p Progress) Readings(d newel.DecisionRow) (then, now criterion.Reading) {
	on := d.PlacementID
	if d.NextPlacement != nil {
		on = *d.NextPlacement
	}
	for _, s := range p.Stays {
		if s.ID == on {
			now = s.Said
		}
	}
	return said(d.Reading), now
}

// Overdue reports whether something was expected of a decision by a day that
// has passed, and nobody has said what came of it.
func (p Progress) Overdue(d newel.DecisionRow) bool {
	return d.Expected != "" && !d.ExpectedBy.IsZero() && !p.Today.Before(d.ExpectedBy) && len(p.VerdictsOn(d.ID)) == 0
}
