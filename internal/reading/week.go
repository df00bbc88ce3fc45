package reading

import (
	"time"

	"newel/internal/newel"
)

// Week holds the sessions with a learner in the last days, including today, on
// the family's clock.
type Week struct {
	From     newel.Day
	Zone     *time.Location
	Sessions []newel.WeekSession // oldest first
}

// WeekDays is the number of days in a Week.
const WeekDays = 7
