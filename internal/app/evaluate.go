package app

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime/debug"
	"time"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// evaluator judges one placement, the targets one by one if so many are taught
// at once. Tests put another in its place.
type evaluator func(c criterion.Case, atOnce int) (criterion.Reading, error)

// read makes the reading of a placement at a moment. Whatever goes wrong in
// it, a panic included, comes back as an error: recording never depends on
// evaluating.
func (a *App) read(g postgres.Ground, asOf time.Time) (_ newel.Reading, err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("evaluate %s: panic: %v\n%s", g.PlacementID, v, debug.Stack())
		}
	}()
	c, err := caseOf(g, asOf)
	if err != nil {
		return newel.Reading{}, fmt.Errorf("evaluate %s: %w", g.PlacementID, err)
	}
	reading, err := a.judge(g, c)
	if err != nil {
		return newel.Reading{}, fmt.Errorf("evaluate %s: %w", g.PlacementID, err)
	}
	body, err := json.Marshal(reading)
	if err != nil {
		return newel.Reading{}, fmt.Errorf("evaluate %s: %w", g.PlacementID, err)
	}
	return newel.Reading{
		PlacementID: g.PlacementID, FamilyID: g.FamilyID, AsOf: asOf, Evaluator: criterion.EvaluatorVersion,
		Status: string(reading.Status), Body: body, IdleFrom: idleFrom(reading),
		Gist: gistOf(reading, c.Sessions), Latest: latestOf(c.Sessions, g.Sessions), Late: a.lateOf(g, c),
		ByRule: g.Step.AdvanceByRule && reading.Status == criterion.StatusMet,
	}, nil
}

func idleFrom(r criterion.Reading) newel.Day {
	if r.IdleFrom == nil {
		return newel.Day{}
	}
	return newel.NewDay(r.IdleFrom.Year, r.IdleFrom.Month, r.IdleFrom.Day)
}

// caseOf puts together what the evaluator wants to know.
func caseOf(g postgres.Ground, asOf time.Time) (criterion.Case, error) {
	zone, err := time.LoadLocation(g.TimeZone)
	if err != nil {
		return criterion.Case{}, fmt.Errorf("time zone: %w", err)
	}
	c := criterion.Case{
		AsOf: asOf, TimeZone: g.TimeZone, StartedOn: dateOf(g.BeganOn), Criterion: g.Criterion, StepBack: g.StepBack,
		HelpLevels: levelNames(g.HelpLevels), Targets: targetKeys(g.Step.Targets), Pauses: pausesOf(g.Marks, asOf, zone),
		Rules: rulesOf(g.Step.Rules), Sessions: make([]criterion.Session, len(g.Sessions)),
	}
	for i, raw := range g.Sessions {
		if err := json.Unmarshal(raw, &c.Sessions[i]); err != nil {
			return criterion.Case{}, fmt.Errorf("kept session: %w", err)
		}
	}
	return c, nil
}

func levelNames(levels []program.HelpLevel) []string {
	names := make([]string, len(levels))
	for i, l := range levels {
		names[i] = l.Name
	}
	return names
}

func targetKeys(targets []program.Target) []string {
	keys := make([]string, len(targets))
	for i, t := range targets {
		keys[i] = t.Key
	}
	return keys
}

func rulesOf(r program.StepRules) criterion.Rules {
	var out criterion.Rules
	for _, kind := range r.Off {
		out.Off = append(out.Off, criterion.FlagKind(kind))
	}
	if r.Long > 0 {
		out.Long = &r.Long
	}
	if r.IdleDays > 0 {
		out.IdleDays = &r.IdleDays
	}
	if r.FloorPercent > 0 {
		percent := exact.Int(int64(r.FloorPercent))
		out.FloorPercent = &percent
	}
	return out
}

// openPauseDays is how long a pause that nobody has ended is taken to last.
// Ending it reads the placement again.
const openPauseDays = 3650

// pausesOf turns what was decided until asOf into stretches of dates on which
// no sessions are expected.
func pausesOf(marks []postgres.PauseMark, asOf time.Time, zone *time.Location) []criterion.Pause {
	var pauses []criterion.Pause
	var from *newel.Day
	for _, m := range marks {
		if m.At.After(asOf) {
			break
		}
		day := newel.DayOf(m.At, zone)
		switch {
		case m.Kind == newel.DecisionPause && from == nil:
			from = &day
		case m.Kind == newel.DecisionResume && from != nil:
			pauses = append(pauses, criterion.Pause{From: dateOf(*from), To: dateOf(day)})
			from = nil
		}
	}
	if from != nil {
		pauses = append(pauses, criterion.Pause{From: dateOf(*from), To: dateOf(newel.DayOf(asOf, zone).AddDays(openPauseDays))})
	}
	return pauses
}

func dateOf(d newel.Day) criterion.Date {
	if d.IsZero() {
		return criterion.Date{}
	}
	y, m, day := d.Time().Date()
	return criterion.Date{Year: y, Month: m, Day: day}
}

// reread evaluates a placement whose lock the transaction holds and writes the
// reading. If that fails, the placement is marked to be read again, and only
// the log is loud.
func (a *App) reread(ctx context.Context, tx *postgres.Tx, placement newel.PlacementID) error {
	var family newel.FamilyID
	err := tx.Savepoint(ctx, func(tx *postgres.Tx) error {
		g, err := tx.Ground(ctx, placement)
		if err != nil {
			return err
		}
		family = g.FamilyID
		reading, err := a.read(g, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutReading(ctx, reading)
	})
	if err == nil {
		return nil
	}
	if family.IsZero() { // not a matter of evaluating: there is no such placement
		return err
	}
	a.unread(ctx, placement, err)
	return tx.MarkStale(ctx, family, placement)
}

// unread says loudly that a placement could not be read.
func (a *App) unread(ctx context.Context, placement newel.PlacementID, err error) {
	a.log.ErrorContext(ctx, "placement could not be read; its recordings are safe, it will be tried again", "placement", placement, "error", err)
}

// staleAtOnce bounds one pass of RereadStale in a clinic.
const staleAtOnce = 100

// RereadStale reads again what could not be read, in every clinic. One that
// fails again stays for the next pass and keeps nobody waiting.
func (a *App) RereadStale(ctx context.Context) error {
	clinics, err := a.clinics(ctx)
	if err != nil {
		return err
	}
	for _, clinic := range clinics {
		var stale []newel.PlacementID
		err := a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) (err error) {
			stale, err = tx.Stale(ctx, staleAtOnce)
			return err
		})
		if err != nil {
			return err
		}
		for _, placement := range stale {
			if err := a.Reread(ctx, clinic, placement); err != nil {
				a.unread(ctx, placement, err)
			}
		}
	}
	return nil
}

// Reread evaluates one placement now.
func (a *App) Reread(ctx context.Context, clinic newel.ClinicID, placement newel.PlacementID) error {
	return a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
		if err := tx.LockPlacement(ctx, placement); err != nil {
			return err
		}
		return a.reread(ctx, tx, placement)
	})
}

// wholeClinic is the scope of the installation's own work in a clinic.
func wholeClinic(clinic newel.ClinicID) newel.Scope {
	return newel.Scope{Clinic: clinic, Staff: true, WholeClinic: true}
}

// clinics lists the clinics of the installation.
func (a *App) clinics(ctx context.Context) (ids []newel.ClinicID, err error) {
	err = a.db.WithKey(ctx, postgres.KeyStart, func(tx *postgres.Tx) error {
		clinics, err := tx.UnscopedClinics(ctx)
		for _, c := range clinics {
			ids = append(ids, c.ID)
		}
		return err
	})
	return ids, err
}
