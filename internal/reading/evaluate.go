package reading

import (
	"encoding/json"
	"fmt"
	"runtime/debug"
	"time"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
)

// Evaluator evaluates one placement; it evaluates the targets separately if
// atOnce of them are taught at the same time. Tests replace it.
type Evaluator func(c criterion.Case, atOnce int) (criterion.Reading, error)

// Evaluate returns the reading of a placement at a time. It returns every failure
// as an error, panics included, because recording must never depend on
// evaluating.
func (evaluate Evaluator) Evaluate(g Facts, asOf time.Time) (_ newel.Reading, err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("evaluate %s: panic: %v\n%s", g.PlacementID, v, debug.Stack())
		}
	}()
	c, err := CaseOf(g, asOf)
	if err != nil {
		return newel.Reading{}, fmt.Errorf("evaluate %s: %w", g.PlacementID, err)
	}
	reading, err := evaluate.Judge(g, c)
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
		Gist: gistOf(reading, c.Sessions), Latest: latestOf(g.Sessions), Late: evaluate.lateOf(g, c),
		ByRule: g.Step.AdvanceByRule && reading.Status == criterion.StatusMet,
	}, nil
}

func idleFrom(r criterion.Reading) newel.Day {
	if r.IdleFrom == nil {
		return newel.Day{}
	}
	return newel.NewDay(r.IdleFrom.Year, r.IdleFrom.Month, r.IdleFrom.Day)
}

// CaseOf returns the evaluator's input.
func CaseOf(g Facts, asOf time.Time) (criterion.Case, error) {
	if g.Damage != nil {
		return criterion.Case{}, fmt.Errorf("kept session: %w", g.Damage)
	}
	zone, err := timezone.Load(g.TimeZone)
	if err != nil {
		return criterion.Case{}, fmt.Errorf("time zone: %w", err)
	}
	c := criterion.Case{
		AsOf: asOf, TimeZone: g.TimeZone, StartedOn: dateOf(g.BeganOn), Criterion: g.Criterion, StepBack: g.StepBack,
		HelpLevels: levelNames(g.HelpLevels), Targets: targetKeys(g.Step.Taught()), Pauses: pausesOf(g.Marks, asOf, zone),
		Rules: RulesOf(g.Step.Rules), Sessions: make([]criterion.Session, len(g.Sessions)),
	}
	for i, s := range g.Sessions {
		c.Sessions[i] = s.Session
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

// RulesOf converts a step's rules for the evaluator.
func RulesOf(r program.StepRules) criterion.Rules {
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

// openPauseDays is the assumed length of a pause that has not ended. When it
// ends, the placement is evaluated again.
const openPauseDays = 3650

// pausesOf converts pause marks up to asOf into date ranges in which no
// sessions are expected.
func pausesOf(marks []PauseMark, asOf time.Time, zone *time.Location) []criterion.Pause {
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
