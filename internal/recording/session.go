package recording

import (
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
)

// Session is a recording in the form used for evaluation: the view with the
// server's times and exact seconds.
type Session struct {
	ID          string
	StartedAt   time.Time
	EndedAt     time.Time
	Day         newel.Day
	By          string // the person who taught
	Place       string // see newel.PlaceOf
	PlaceSort   newel.PlaceSort
	Afterwards  bool // written down afterward, from memory
	Kind        Kind
	PlannedHelp string // empty for independent
	Void        bool
	EndedEarly  Ending
	Unfit       []newel.Condition // conditions of the step that it did not meet
	Trials      []measure.Trial
	Count       *int64
	ObservedS   *exact.Rat
	DurationsS  []exact.Rat // nil if not recorded; empty if it never occurred
	Intervals   []bool      // nil if not recorded
	// IntervalKind says what a marked interval means, empty if the phone did not.
	IntervalKind measure.IntervalKind
}

// SessionOf returns the view in the form used for evaluation. It does not
// include unsettled Surplus.
func SessionOf(v View, times Times) Session {
	h := v.Header
	s := Session{
		ID:          v.ID.String(),
		StartedAt:   times.Start,
		EndedAt:     times.End,
		Day:         times.Day,
		Place:       newel.PlaceOf(h.Place.Or("")),
		Kind:        h.Kind.Or(Teaching),
		PlannedHelp: h.PlannedHelp.Or(""),
		Void:        v.Void,
		EndedEarly:  h.EndedEarly.Or(EndedInTime),
		Unfit:       h.Unfit.Or(nil),
		Trials:      make([]measure.Trial, len(v.Trials)),
		Count:       h.Count.Value,
		ObservedS:   seconds(h.ObservedMS.Value),
		Intervals:   h.Intervals.Or(nil),
		Afterwards:  h.How.Or(Live) == Afterwards,
	}
	s.IntervalKind = h.IntervalKind.Or("")
	s.PlaceSort = h.PlaceSort.Or(newel.SortOf(s.Place))
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
		// A void trial may have no answer; no_chance is never scored or
		// offered.
		return measure.Trial{Outcome: measure.NoChance, Void: true}
	}
	a := t.Answer
	return measure.Trial{
		Target: a.Target, Outcome: a.Outcome, Help: a.Help,
		LatencyS: seconds(a.LatencyMS), None: a.None,
		RecoveryS: seconds(a.RecoveryMS), RecoveryNone: a.RecoveryNone,
		Choices: a.Choices, Position: a.Position,
	}
}

// seconds converts milliseconds to exact seconds; nil stays nil.
func seconds(ms *int64) *exact.Rat {
	if ms == nil {
		return nil
	}
	s := exact.Frac(*ms, 1000)
	return &s
}
