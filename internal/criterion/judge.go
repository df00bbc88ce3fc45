package criterion

import (
	"cmp"
	"slices"

	"newel/internal/measure"
)

// judged is one session with everything that the rules need from it.
type judged struct {
	*Session
	day    int // its local date
	why    Why
	barred Barred
	has    bool // it has data for every goal; values are then those of its goals

	values    [2]measure.Value
	rules     [2]measure.Value
	reaches   [2]bool
	qualifies bool
	satisfied bool // whether the window is satisfied at this session

	// Scored trials, those correct as the first goal defines it, and trials
	// declined and offered.
	scored, correct, declined, offered int
}

// counted reports whether the session counts. A rated session is one that
// counts and is not barred, so it has data.
func (j *judged) counted() bool { return j.why == Counted }
func (j *judged) rated() bool   { return j.counted() && j.barred == NotBarred }

// evaluation is a case being evaluated.
type evaluation struct {
	settled
	yards   []*yardstick // one for the first goal, and one for the second if there is one
	all     []judged     // in order
	counted []*judged
	rated   []*judged
	stretch []*judged
	met     int // index into counted of the session at which it was met, or -1
	run     int // length of the run, or number qualifying of the last, at the session in question

	lookBack    lookBack
	notGaining  bool // whether the look-back shows no gain; see isNotGaining
	almostThere bool // whether a single error keeps the child from the goal; see isAlmostThere
}

func evaluate(s settled) *evaluation {
	e := &evaluation{settled: s, met: -1}
	var targets []string
	if s.criterion.EachTarget {
		targets = s.Targets
	}
	e.yards = []*yardstick{newYardstick(s.criterion.Goal, s.scale, targets)}
	if s.criterion.Second != nil {
		e.yards = append(e.yards, newYardstick(*s.criterion.Second, s.scale, nil))
	}
	e.judgeAll()
	e.followWindow()
	e.findStretch()
	e.lookBack = e.findLookBack()
	e.notGaining, e.almostThere = e.isNotGaining(), e.isAlmostThere()
	return e
}

func (e *evaluation) judgeAll() {
	e.all = make([]judged, len(e.Sessions))
	for i := range e.Sessions {
		e.all[i].Session = &e.Sessions[i]
	}
	slices.SortFunc(e.all, func(a, b judged) int {
		if c := a.EndedAt.Compare(b.EndedAt); c != 0 {
			return c
		}
		return cmp.Compare(a.ID, b.ID)
	})
	e.counted = make([]*judged, 0, len(e.all))
	e.rated = make([]*judged, 0, len(e.all))
	for i := range e.all {
		j := &e.all[i]
		e.judge(j)
		if j.counted() {
			e.counted = append(e.counted, j)
		}
		if j.rated() {
			e.rated = append(e.rated, j)
		}
	}
}

func (e *evaluation) judge(j *judged) {
	date := j.LocalDate
	if date.IsZero() {
		date = DateOf(j.StartedAt, e.zone)
	}
	j.day = date.day()
	for i := range j.Trials {
		t := &j.Trials[i]
		if t.Offered() {
			j.offered++
		}
		if t.Declined() {
			j.declined++
		}
	}
	j.why = e.whyByKind(j)
	if j.why == Counted || j.why == WhyMaintenance {
		e.measure(j)
	}
	if j.why != Counted {
		return
	}
	j.barred = barredBy(j)
	if j.barred == NotBarred {
		j.why = e.whyByData(j)
		j.qualifies = j.why == Counted && e.reachesAll(j)
	}
}

// whyByKind returns why a session is excluded for what it is.
func (e *evaluation) whyByKind(j *judged) Why {
	switch {
	case j.Void:
		return WhyVoid
	case j.EndedAt.After(e.AsOf):
		return WhyFuture
	case j.Kind == Baseline:
		return WhyBaseline
	case j.Kind == Maintenance:
		return WhyMaintenance
	case e.criterion.Only == ProbesOnly && j.Kind != Probe,
		e.criterion.Only == TeachingOnly && j.Kind == Probe:
		return WhyOtherKind
	}
	return Counted
}

func barredBy(j *judged) Barred {
	switch {
	case j.EndedEarly == EarlyDistress:
		return BarredDistress
	case j.declined*5 > j.offered:
		return BarredDeclined
	}
	return NotBarred
}

// whyByData returns why a session is excluded for lack of data.
func (e *evaluation) whyByData(j *judged) Why {
	if !j.has {
		return WhyNoData
	}
	least := e.criterion.Trials
	if j.scored < least {
		return WhyTooFewOfTrials
	}
	if e.criterion.EachTarget {
		for _, target := range e.Targets {
			if _, scored := measure.TallyTarget(j.Trials, target, e.scale, 0); scored < least {
				return WhyTooFewOfTrials
			}
		}
	}
	return Counted
}

// measure computes a session's values for every goal.
func (e *evaluation) measure(j *judged) {
	j.correct, j.scored = measure.Tally(j.Trials, e.scale, e.yards[0].rank)
	j.has = true
	for i, y := range e.yards {
		v, ok := y.value(j.Session)
		j.has = j.has && ok
		j.values[i], j.rules[i] = v, v
		if y.goal.Measure == Accuracy && j.PlannedHelp != "" {
			j.rules[i], _ = y.ruleValue(j.Session)
		}
		j.reaches[i] = ok && y.reached(v)
	}
}

func (e *evaluation) reachesAll(j *judged) bool {
	for i := range e.yards {
		if !j.reaches[i] {
			return false
		}
	}
	return j.has
}

// findStretch finds the latest comparable rated sessions: no probes, and for
// accuracy only since the last change of planned help.
func (e *evaluation) findStretch() {
	e.stretch = make([]*judged, 0, len(e.rated))
	for _, j := range e.rated {
		if j.Kind == Probe && e.criterion.Only != ProbesOnly {
			continue
		}
		if n := len(e.stretch); n > 0 && e.criterion.Goal.Measure == Accuracy && e.stretch[n-1].PlannedHelp != j.PlannedHelp {
			e.stretch = e.stretch[:0]
		}
		e.stretch = append(e.stretch, j)
	}
}

// plannedHelp reports whether the stretch has planned help.
func (e *evaluation) plannedHelp() bool {
	return len(e.stretch) > 0 && last(e.stretch).PlannedHelp != ""
}

func last(list []*judged) *judged { return list[len(list)-1] }

// latest returns up to the n latest of the list.
func latest(list []*judged, n int) []*judged { return list[max(0, len(list)-n):] }

// latestQualifies reports whether the latest counted session qualifies. There
// must be one.
func (e *evaluation) latestQualifies() bool { return last(e.counted).qualifies }
