package criterion

import (
	"cmp"
	"slices"
)

// idleBase returns the start of idle time: the day of the last session that is
// neither void nor in the future, or the day the placement began, whichever is
// later. session is nil if there is none; known is false if there is neither.
func (e *evaluation) idleBase() (day int, session *judged, known bool) {
	for i := len(e.all) - 1; i >= 0; i-- {
		if j := &e.all[i]; !j.Void && !j.EndedAt.After(e.AsOf) {
			day, session, known = j.day, j, true
			break
		}
	}
	if !e.StartedOn.IsZero() {
		if began := e.StartedOn.day(); !known || began > day {
			day, known = began, true
		}
	}
	return day, session, known
}

func (e *evaluation) idle() (restsOn []*judged, raised bool) {
	from, raised := e.idleFromDay()
	if !raised || DateOf(e.AsOf, e.zone).day() < from {
		return nil, false
	}
	if _, session, _ := e.idleBase(); session != nil {
		restsOn = []*judged{session}
	}
	return restsOn, true
}

// idleFromDay returns the first day on which idle is raised: after as many days
// without a session as the rule requires, not counting pauses.
func (e *evaluation) idleFromDay() (day int, known bool) {
	base, _, known := e.idleBase()
	if !known {
		return 0, false
	}
	left, next := e.idleDays, base+1
	for _, p := range e.sortedPauses() {
		from, to := p.From.day(), p.To.day()
		if to < next {
			continue
		}
		free := max(0, from-next)
		if free >= left {
			break
		}
		left -= free
		next = to + 1
	}
	return next + left, true
}

func (e *evaluation) sortedPauses() []Pause {
	pauses := slices.Clone(e.Pauses)
	slices.SortFunc(pauses, func(a, b Pause) int { return cmp.Compare(a.From.day(), b.From.day()) })
	return pauses
}

// idleFrom returns the date for a reading; nil if the criterion is met, the
// rule is off, or there is nothing to count from.
func (e *evaluation) idleFrom() *Date {
	if e.met >= 0 || e.off(Idle) {
		return nil
	}
	day, known := e.idleFromDay()
	if !known {
		return nil
	}
	date := dateOfDay(day)
	return &date
}
