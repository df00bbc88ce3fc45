package reading

import (
	"slices"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// SetTimes sets the computed times of a recording.
func SetTimes(r *recording.Kept, t recording.Times) {
	r.StartedAt, r.EndedAt, r.LocalDate, r.Corrected, r.OddClock = t.Start, t.End, t.Day, t.Corrected, t.OddClock
}

func timesOf(r recording.Kept) recording.Times {
	return recording.Times{Start: r.StartedAt, End: r.EndedAt, Day: r.LocalDate, Corrected: r.Corrected, OddClock: r.OddClock}
}

// Summarize fills in the summary columns of a recording. It withholds sessions
// that the evaluator cannot use and leaves them for a person to check, so that
// one faulty session never blocks a placement's evaluation.
func Summarize(r *recording.Kept, view recording.View, people []newel.PersonID, levels []program.HelpLevel) {
	session := recording.SessionOf(view, timesOf(*r))
	r.ByID = nil
	if by, ok := view.Header.By.Get(); ok && slices.Contains(people, by) {
		r.ByID = &by
	} else {
		session.By = "" // only people whom the family knows count as its people
	}
	r.Void, r.Afterwards = view.Void, view.Header.How.Or(recording.Live) == recording.Afterwards
	r.Distress = r.Closed && !view.Void && session.EndedEarly == recording.EndedDistress
	r.Trials = counting(view)
	r.NeedsPerson = len(view.Surplus) > 0 || len(view.Unapplied) > 0 || r.ByID == nil
	r.Session = nil
	if !r.Closed {
		return
	}
	if !knowsHelpLevels(session, levels) {
		r.NeedsPerson = true
		return
	}
	r.Session = &newel.KeptSession{Session: evaluatorSession(session), Unfit: session.Unfit, IntervalKind: string(session.IntervalKind)}
}

func counting(v recording.View) int {
	n := 0
	for _, t := range v.Trials {
		if !t.Void {
			n++
		}
	}
	return n
}

// knowsHelpLevels reports whether the program has every help level that the
// session uses.
func knowsHelpLevels(s recording.Session, levels []program.HelpLevel) bool {
	known := func(name string) bool {
		return name == "" || slices.ContainsFunc(levels, func(l program.HelpLevel) bool { return l.Name == name })
	}
	for _, t := range s.Trials {
		if !t.Void && !known(t.Help) {
			return false
		}
	}
	return known(s.PlannedHelp)
}

// evaluatorSession converts a session to the evaluator's form.
func evaluatorSession(s recording.Session) criterion.Session {
	return criterion.Session{
		ID: s.ID, StartedAt: s.StartedAt, EndedAt: s.EndedAt, LocalDate: dateOf(s.Day), By: s.By, Place: s.Place, PlaceSort: string(s.PlaceSort), Afterwards: s.Afterwards,
		Kind: criterion.Kind(s.Kind), PlannedHelp: s.PlannedHelp, Void: s.Void, EndedEarly: criterion.EndedEarly(s.EndedEarly),
		Trials: s.Trials, Count: s.Count, ObservedS: s.ObservedS, DurationsS: s.DurationsS, Intervals: s.Intervals,
	}
}

// WithSession adds a recording's session to the others, or replaces its earlier
// state.
func WithSession(sessions []newel.KeptSession, r recording.Kept) []newel.KeptSession {
	out := slices.DeleteFunc(sessions, func(s newel.KeptSession) bool { return s.ID == r.ID.String() })
	if r.Session != nil {
		out = append(out, *r.Session)
	}
	return out
}
