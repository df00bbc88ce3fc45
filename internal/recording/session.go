package recording

import (
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
)

// Session is a recording as it is judged: the view with the times that the
// server stands behind, seconds exact.
type Session struct {
	ID          string
	StartedAt   time.Time
	EndedAt     time.Time
	Day         newel.Day
	By          string // the person who taught
	Place       string
	Kind        Kind
	PlannedHelp string // empty for alone
	Void        bool
	EndedEarly  Ending
	Unfit       []Condition // in what it was otherwise than its step asks
	Trials      []measure.Trial
	Count       *int64
	ObservedS   *exact.Rat
	DurationsS  []exact.Rat // nil if none were kept; empty if it never happened
	Intervals   []bool      // nil if none were kept
}

// SessionOf gives the view in the form in which it is judged. What still waits
// in Surplus is not in it.
func SessionOf(v View, times Times) Session {
	h := v.Header
	s := Session{
		ID:          v.ID.String(),
		StartedAt:   times.Start,
		EndedAt:     times.End,
		Day:         times.Day,
		Place:       h.Place.Or(""),
		Kind:        h.Kind.Or(Teaching),
		PlannedHelp: h.PlannedHelp.Or(""),
		Void:        v.Void,
		EndedEarly:  h.EndedEarly.Or(EndedInTime),
		Unfit:       h.Unfit.Or(nil),
		Trials:      make([]measure.Trial, len(v.Trials)),
		Count:       h.Count.Value,
		ObservedS:   seconds(h.ObservedMS.Value),
		Intervals:   h.Intervals.Or(nil),
	}
	if by, ok := h.By.Get(); ok {
		s.By = by.String()
	}
	if durations, ok := h.DurationsMS.Get(); ok {
		s.DurationsS = make([]exact.Rat, len(durations))
		for i := range durations {
			s.DurationsS[i] = *seconds(&durations[i])
		}
	}
	for i, t := range v.Trials {
		s.Trials[i] = measured(t)
	}
	return s
}

func measured(t Trial) measure.Trial {
	if t.Void {
		// What was voided may have no answer; no_chance is never scored or
		// offered, whatever else is asked of a void trial.
		return measure.Trial{Outcome: measure.NoChance, Void: true}
	}
	a := t.Answer
	return measure.Trial{
		Target: a.Target, Outcome: a.Outcome, Help: a.Help,
		LatencyS: seconds(a.LatencyMS), None: a.None,
		Choices: a.Choices, Position: a.Position,
	}
}

// seconds turns milliseconds into exact seconds; nil stays nil.
func seconds(ms *int64) *exact.Rat {
	if ms == nil {
		return nil
	}
	s := exact.Frac(*ms, 1000)
	return &s
}
