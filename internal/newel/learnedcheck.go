package newel

import (
	"time"

	"newel/internal/criterion"
)

// PlannedKind is what a supervisor plans for the next session of a placement.
type PlannedKind string

// What can be planned.
const (
	PlanUsual    PlannedKind = "usual"       // as the step says
	PlanBaseline PlannedKind = "baseline"    // a baseline session
	PlanProbe    PlannedKind = "probe"       // a probe
	PlanCheck    PlannedKind = "maintenance" // a maintenance check
	PlanNone     PlannedKind = "none"        // no more checks of a learned step
)

// PlannedKinds lists everything that can be planned.
var PlannedKinds = []PlannedKind{PlanUsual, PlanBaseline, PlanProbe, PlanCheck, PlanNone}

// Session returns the kind of session that was planned, or empty if it is none
// in particular.
func (k PlannedKind) Session() criterion.Kind {
	switch k {
	case PlanBaseline, PlanProbe, PlanCheck:
		return criterion.Kind(k)
	}
	return ""
}

// PlannedSession is what a supervisor planned for the next session of a
// placement. The latest one counts, until a session of its kind is recorded.
type PlannedSession struct {
	ID            PlannedSessionID
	FamilyID      FamilyID
	PlacementID   PlacementID
	Kind          PlannedKind
	PlannedByName string
	PlannedAt     time.Time
}

// LearnedCheck is a step that a learner left by an advance and that nobody
// teaches again, with what decides when it is checked.
type LearnedCheck struct {
	PlacementID  PlacementID
	AssignmentID AssignmentID
	FamilyID     FamilyID
	LearnerID    LearnerID
	ProgramID    ProgramID
	Learner      string
	Family       string
	TimeZone     string
	Program      string // the program's title
	Role         string
	StepLabel    string
	StepName     string

	LearnedOn Day   // in the family's zone
	Weeks     []int // after LearnedOn, at which the program checks it
	CheckedOn Day   // local date of the latest check; zero if there was none
	CheckedNo bool  // the child's no ended that check
	Gist      *Gist // nil: not evaluated yet

	Planned   PlannedKind // the latest plan, or empty
	PlannedOn Day         // when it was made, in the family's zone
	PlanOpen  bool        // it was made after the latest check
}
