package reading

import "newel/internal/newel"

// LearnerDay is one learner's day.
type LearnerDay struct {
	Learner newel.Learner
	Next    *Taught  // nil if there is nothing to do
	Others  []Taught // others that may be started
	Resting []Taught // paused until someone has reviewed it
}

// maxToday is how many programs a day offers for one learner.
const maxToday = 4

// TodayOf groups what is taught by learner, least recently taught first. Missed
// days do not matter.
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
		case len(l.Others) < maxToday-1:
			l.Others = append(l.Others, row)
		}
	}
	return days
}
