package app

import (
	"context"
	"errors"
	"slices"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// SeenRow identifies a caseload row and the latest decision that the page
// showed for it, or "".
type SeenRow struct {
	Placement newel.PlacementID
	After     string
}

// maxTogether limits the rows ticked in one form.
const maxTogether = 200

// SeenTogether records "seen, no change" for several rows at once. It skips
// rows that someone else has decided about, and rows paused after a child's no,
// which need separate decisions. It returns the caseload's location, with the
// number of each.
func (a *App) SeenTogether(ctx context.Context, actor newel.Actor, form Form, rows []SeenRow) (string, error) {
	if len(rows) == 0 || len(rows) > maxTogether {
		var e newel.Invalid
		e.Add("row", "decide.tick", "most", maxTogether)
		return "", e.OrNil()
	}
	rows = slices.Clone(rows) // take locks in a fixed order
	slices.SortFunc(rows, func(a, b SeenRow) int { return strings.Compare(a.Placement.String(), b.Placement.String()) })
	rows = slices.CompactFunc(rows, func(a, b SeenRow) bool { return a.Placement == b.Placement })
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		seen, left := 0, 0
		for _, row := range rows {
			did, err := a.seenOne(ctx, tx, row)
			if err != nil {
				return "", err
			}
			if did {
				seen++
			} else {
				left++
			}
		}
		return href.CaseloadAfter(seen, left), nil
	})
}

func (a *App) seenOne(ctx context.Context, tx *postgres.Tx, row SeenRow) (bool, error) {
	if err := tx.LockPlacement(ctx, row.Placement); err != nil {
		return false, err
	}
	c, err := a.deciderOf(ctx, tx, row.Placement)
	if err != nil {
		return false, err
	}
	err = c.undecided(row.After)
	if errors.Is(err, newel.ErrConflict) || err == nil && c.assignment.State == newel.AssignmentResting {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	in := DecisionInput{Kind: newel.DecisionSeen}
	d, err := c.decision(in)
	if err != nil {
		return false, err
	}
	if err := c.carryOut(ctx, tx, d, in); err != nil {
		return false, err
	}
	return true, tx.Note(ctx, "decision."+string(d.Kind), d.FamilyID, d.ID.UUID)
}
