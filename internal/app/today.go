package app

import (
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Taught is a placement with everything that whoever teaches it has to know.
type Taught = postgres.Taught

// learnerDay is one learner's day.
type learnerDay struct {
	Learner newel.Learner
	Next    *postgres.Taught  // nil: nothing to do
	Others  []postgres.Taught // may be started as well
	Resting []postgres.Taught // not to be started until somebody has looked
}

// mostToday is how many programs a day offers for one learner.
const mostToday = 4

// todayOf sorts what is taught into days. What was taught least recently comes
// next; nothing counts the days missed.
func todayOf(rows []postgres.Taught) []learnerDay {
	var days []learnerDay
	for _, row := range rows {
		if n := len(days); n == 0 || days[n-1].Learner.ID != row.LearnerID {
			days = append(days, learnerDay{Learner: row.Learner()})
		}
		l := &days[len(days)-1]
		switch {
		case row.State == newel.AssignmentResting:
			l.Resting = append(l.Resting, row)
		case l.Next == nil:
			l.Next = &row
		case len(l.Others) < mostToday-1:
			l.Others = append(l.Others, row)
		}
	}
	return days
}
