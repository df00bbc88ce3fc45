package reading

import (
	"time"

	"newel/internal/newel"
)

// Week is what was recorded with a learner on the last days, today among
// them, as the family's clock has it.
type Week struct {
	From     newel.Day
	Zone     *time.Location
	Sessions []WeekSession // oldest first
}

// WeekSession is one of its sessions.
type WeekSession struct {
	newel.WeekSession
	Session Session
}

// WeekDays is how many days a week has here.
const WeekDays = 7
