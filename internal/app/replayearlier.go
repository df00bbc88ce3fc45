package app

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// madeReading is a reading as an earlier version of the evaluator made it.
type madeReading struct {
	placement newel.PlacementID
	at        time.Time
	decision  newel.DecisionKind
	body      json.RawMessage
}

// earlierReadings returns the readings of an assignment that an earlier version
// of the evaluator made, oldest first. The stored one of a placement is left
// out if a decision was based on it.
func earlierReadings(ctx context.Context, tx *postgres.Tx, assignment newel.AssignmentID) ([]madeReading, error) {
	var made []madeReading
	decisions, err := tx.Decisions(ctx, assignment)
	if err != nil {
		return nil, err
	}
	for _, d := range decisions {
		if d.Answered.Outdated() && len(d.Reading) > 0 {
			made = append(made, madeReading{d.PlacementID, d.DecidedAt, d.Kind, d.Reading})
		}
	}
	kept, err := tx.AssignmentReadings(ctx, assignment)
	if err != nil {
		return nil, err
	}
	for _, g := range kept {
		decided := slices.ContainsFunc(made, func(m madeReading) bool { return m.placement == g.PlacementID && !m.at.Before(g.AsOf) })
		if g.Evaluator < criterion.EvaluatorVersion && !decided {
			made = append(made, madeReading{placement: g.PlacementID, at: g.AsOf, body: g.Body})
		}
	}
	slices.SortStableFunc(made, func(a, b madeReading) int { return a.at.Compare(b.at) })
	return made, nil
}

// compareEarlier evaluates the placements again as of the moments of the
// earlier readings.
func (a *App) compareEarlier(v *ReplayView, stays []postgres.PastStay, made []madeReading) error {
	for i := range v.Stays {
		one := &v.Stays[i]
		at := slices.IndexFunc(stays, func(s postgres.PastStay) bool { return s.PlacementID == one.Placement })
		for _, m := range made {
			if m.placement != one.Placement {
				continue
			}
			c, err := reading.CaseOf(stays[at].Facts, m.at)
			if err != nil {
				return err
			}
			now, err := a.evaluate.Judge(stays[at].Facts, c)
			if err != nil {
				return err
			}
			zone := timezone.OrUTC(stays[at].TimeZone)
			one.Earlier = append(one.Earlier, EarlierReading{newel.DayOf(m.at, zone), m.decision, reading.DecodeReading(m.body), now})
		}
	}
	return nil
}
