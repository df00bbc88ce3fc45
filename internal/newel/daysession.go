package newel

import "time"

// DaySession is a session as a family's phone lists it: one of today, or one
// that a fact about the learner is taken from.
type DaySession struct {
	ID           RecordingID
	LearnerID    LearnerID
	AssignmentID AssignmentID
	PlacementID  PlacementID
	Program      string // the program's title
	Role         string
	StepName     string
	HelpLevels   []string    // of the version, least help first
	Of           KeptSession `db:"session"` // zero while the session is open
	By           *PersonID
	ByName       string
	StartedAt    time.Time
	EndedAt      time.Time
	LocalDate    Day
	Closed       bool
	Afterwards   bool
	Distress     bool // ended early because the child said no
	Trials       int  // stored so far
}

// LearnedStep is a step that a learner left by an advance.
type LearnedStep struct {
	LearnerID LearnerID
	Program   string // the program's title
	StepName  string
	On        Day // in the family's zone
}
