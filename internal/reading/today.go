package reading

import "newel/internal/newel"

// LearnerDay is one learner's day.
type LearnerDay struct {
	Learner newel.Learner
	Next    *Taught  // nil: nothing to do
	Others  []Taught // may be started as well
	Resting []Taught // not to be started until somebody has looked
}

// mostToday is how many programs a day offers for one learner.
const mostToday = 4

// TodayOf sorts what is taught into days. What was taught least recently comes
// next; nothing counts the days missed.
func TodayOf(rows []Taught) []LearnerDay {
	var days []LearnerDay
	for _, row := range rows {
		if n := len(days); n == 0 || days[n-1].Learner.ID != row.LearnerID {
			days = append(days, LearnerDay{Learner: row.Learner()})
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
