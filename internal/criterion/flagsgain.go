package criterion

import (
	"newel/internal/exact"
	"newel/internal/measure"
)

// Sizes of the look-back, over which the rules ask whether a child is gaining.
// docs/simulation.md has the curves behind them.
const (
	lookBackSessions = 18
	enoughAlways     = 14 // sessions that are always enough
	enoughOfMany     = 12 // sessions that are enough if each tells enough
	enoughTrials     = 90 // scored trials in them, for measures on trials
)

// Sizes of the rules that rest on not gaining.
const (
	spellSessions = 8 // latest sessions in which the goal is reached or not
	spellHalf     = spellSessions / 2
	gainPoints    = 10 // points, or hundredths of the earlier mean, that are not yet a gain
	closePercent  = 90
)

// lookBack is the latest sessions of the stretch, oldest first, and how many
// make up their oldest and their newest third. The ones between belong to
// neither.
type lookBack struct {
	sessions []*judged
	third    int
	enough   bool // there are enough sessions to ask about a gain
}

func (e *evaluation) findLookBack() lookBack {
	sessions := latest(e.stretch, lookBackSessions)
	return lookBack{sessions: sessions, third: len(sessions) / 3, enough: e.enoughToCompare(sessions)}
}

// enoughToCompare reports whether the sessions are enough to ask about a gain.
// Fewer will do if each tells more than one trial: not where the first goal
// looks at one trial of a session, or at each target.
func (e *evaluation) enoughToCompare(sessions []*judged) bool {
	if len(sessions) >= enoughAlways {
		return true
	}
	first := e.criterion.Goal.Measure
	if len(sessions) < enoughOfMany || e.criterion.EachTarget || first == FirstTrial {
		return false
	}
	scored := 0
	for _, j := range sessions {
		scored += j.scored
	}
	return !first.OnTrials() || scored >= enoughTrials
}

// means returns the mean rule values of the oldest and the newest third for
// goal i.
func (l lookBack) means(i int) (oldest, newest measure.Value) {
	values := ruleValues(l.sessions, i)
	return measure.Mean(values[:l.third]), measure.Mean(values[len(values)-l.third:])
}

// progress returns the comparison that a page explains.
func (e *evaluation) progress() *Progress {
	if e.met >= 0 || !e.lookBack.enough {
		return nil
	}
	oldest, newest := e.lookBack.means(0)
	p := &Progress{Sessions: len(e.lookBack.sessions), Third: e.lookBack.third}
	p.Oldest, _ = asFloat(oldest, true)
	p.Newest, _ = asFloat(newest, true)
	return p
}

// isNotGaining reports whether the look-back is long enough and shows no gain
// toward any goal that the latest session does not reach.
func (e *evaluation) isNotGaining() bool {
	if !e.lookBack.enough || e.reachesAll(last(e.stretch)) {
		return false
	}
	for i, y := range e.yards {
		if last(e.stretch).reaches[i] {
			continue
		}
		if oldest, newest := e.lookBack.means(i); y.gained(oldest, newest) {
			return false
		}
	}
	return true
}

// gained reports whether the newer mean is better by more than 10 points, or by
// more than 10 % of the older mean. Exactly that much is no gain.
func (y *yardstick) gained(older, newer measure.Value) bool {
	switch {
	case newer.Over:
		return false
	case older.Over:
		return true
	}
	return y.amount(gainPoints, gainPoints, older).Less(y.lead(newer, older))
}

// isAlmostThere reports whether the latest sessions are so close to a goal that
// allows no error in them that a single error keeps the child from it.
func (e *evaluation) isAlmostThere() bool {
	spell := latest(e.stretch, spellSessions)
	if !e.plainAccuracy() || e.criterion.Second != nil || e.plannedHelp() || len(spell) < spellSessions {
		return false
	}
	for _, j := range spell {
		if v, ok := measure.Percent(j.scored-1, j.scored); !ok || e.yards[0].reached(v) {
			return false
		}
	}
	return !measure.Mean(ruleValues(spell, 0)).Number.Less(exact.Int(closePercent))
}

// unlessAlmostThere restricts a rule in whose place Close is raised. Switching
// Close off does not bring the rule back.
func unlessAlmostThere(r rule) rule {
	return func(e *evaluation) ([]*judged, bool) {
		if e.almostThere {
			return nil, false
		}
		return r(e)
	}
}

// closeReplaces lists the rules in whose place Close is raised.
var closeReplaces = []flagRule{
	{Flat, (*evaluation).flat},
	{Uneven, (*evaluation).uneven},
	{Long, (*evaluation).tooLong},
}

// closeToGoal is raised if one of the rules that it replaces would be.
func (e *evaluation) closeToGoal() ([]*judged, bool) {
	if !e.almostThere {
		return nil, false
	}
	for _, r := range closeReplaces {
		if _, would := r.rule(e); would && !e.off(r.kind) {
			return e.lookBack.sessions, true
		}
	}
	return nil, false
}

// flat: no gain, and the goal is not reached.
func (e *evaluation) flat() ([]*judged, bool) {
	if !e.notGaining || anyQualifies(latest(e.stretch, spellSessions)) {
		return nil, false
	}
	if e.plannedHelp() && e.criterion.Goal.Measure == Accuracy {
		mean := measure.Mean(ruleValues(latest(e.stretch, spellHalf), 0))
		if !mean.Number.Less(exact.Int(90)) {
			return nil, false
		}
	}
	return e.lookBack.sessions, true
}

// uneven: no gain, and the goal is reached but not held.
func (e *evaluation) uneven() ([]*judged, bool) {
	spell := latest(e.stretch, spellSessions)
	if !e.notGaining || !anyQualifies(spell) || last(spell).qualifies {
		return nil, false
	}
	for _, j := range spell {
		if j.satisfied {
			return nil, false
		}
	}
	return e.lookBack.sessions, true
}

// tooLong: no gain after many sessions on the step.
func (e *evaluation) tooLong() ([]*judged, bool) {
	if len(e.counted) < e.long || e.latestQualifies() || !e.notGaining {
		return nil, false
	}
	return e.counted, true
}
