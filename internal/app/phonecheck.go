package app

import (
	"context"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// talliesOf returns the tallies of placements whose step plans other sessions
// than teaching.
func talliesOf(ctx context.Context, tx *postgres.Tx, rows []reading.Taught) (map[newel.PlacementID]program.SessionTally, error) {
	var planned []newel.PlacementID
	for _, t := range rows {
		if _, step := t.Document.Step(t.StepKey); step != nil && (step.Baseline > 0 || step.ProbeEvery > 0) {
			planned = append(planned, t.PlacementID)
		}
	}
	tallies := map[newel.PlacementID]program.SessionTally{}
	if len(planned) == 0 {
		return tallies, nil
	}
	list, err := tx.SessionTallies(ctx, planned)
	for _, t := range list {
		tallies[t.PlacementID] = t.SessionTally
	}
	return tallies, err
}

// plansAhead returns the kinds of session that supervisors planned next, by
// placement.
func plansAhead(ctx context.Context, tx *postgres.Tx) (map[newel.PlacementID]criterion.Kind, error) {
	list, err := tx.PlansAhead(ctx)
	plans := map[newel.PlacementID]criterion.Kind{}
	for _, p := range list {
		plans[p.PlacementID] = p.Kind.Session()
	}
	return plans, err
}

// dueCheck is a check that is due, with what a phone needs to record it.
type dueCheck struct {
	newel.LearnedCheck
	since newel.Day
	row   reading.Taught
}

// dueChecks returns the checks that are due in the scope's families, by
// learner and in the order in which the steps began.
func dueChecks(ctx context.Context, tx *postgres.Tx) (map[newel.LearnerID][]dueCheck, error) {
	learned, err := tx.LearnedChecks(ctx)
	if err != nil {
		return nil, err
	}
	due, ids := map[newel.PlacementID]dueCheck{}, []newel.PlacementID(nil)
	for _, l := range learned {
		if since := reading.CheckDue(l, newel.DayOf(tx.Now(), timezone.OrUTC(l.TimeZone))); !since.IsZero() {
			due[l.PlacementID], ids = dueCheck{LearnedCheck: l, since: since}, append(ids, l.PlacementID)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	rows, err := tx.TaughtIn(ctx, ids)
	checks := map[newel.LearnerID][]dueCheck{}
	for _, row := range rows {
		c := due[row.PlacementID]
		c.row = row
		checks[row.LearnerID] = append(checks[row.LearnerID], c)
	}
	return checks, err
}

// check returns a check as a phone lists it, and adds its kit.
func (k *dayKits) check(ctx context.Context, c dueCheck) program.DayCheck {
	offer := reading.OfferOf(c.row, program.SessionTally{}, "")
	return program.DayCheck{
		Assignment: offer.Assignment, Placement: offer.Placement, Title: offer.Title, Role: offer.Role, Step: offer.Step,
		Since: c.since, Learned: c.LearnedOn, Trials: offer.Trials, Start: k.add(ctx, c.row),
	}
}
