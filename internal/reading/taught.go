package reading

import (
	"time"

	"newel/internal/newel"
	"newel/internal/program"
)

// Taught is a placement with everything that a person who teaches it needs to
// know.
type Taught struct {
	PlacementID  newel.PlacementID
	FamilyID     newel.FamilyID
	AssignmentID newel.AssignmentID
	ProgramID    newel.ProgramID
	VersionID    newel.VersionID
	State        newel.AssignmentState
	StepKey      string
	StrandKey    string
	PlannedHelp  string
	Criterion    string
	BeganOn      newel.Day
	EndedAt      *time.Time
	LearnerID    newel.LearnerID
	Nickname     string
	Care         newel.Care
	TimeZone     string
	Language     string   // the family's
	Met          []string // mastered targets, where each has its own criterion
	Document     program.Document
	Overrides    map[string]newel.StepOverride
	LastOn       newel.Day // local date of the last closed session; zero if none
	LastEndedAt  *time.Time
	// Note is what a decision about this role told the family lately, NoteBy who
	// decided and NoteOn when; all are zero if there is none.
	Note   string
	NoteBy string
	NoteOn newel.Day
	// LastDecision is the kind of the latest decision on the placement, or empty;
	// Until is the day by which it asks to look again, or zero.
	LastDecision newel.DecisionKind
	Until        newel.Day
	Said         []newel.Said  // by the family about the no that paused it, oldest first; nil if it is not paused after one
	Lifted       *newel.Lifted // of the last such pause, if it was lifted within LiftedDays
}

// LiftedDays is how long Today shows what was agreed when a pause was lifted.
const LiftedDays = 14

// Learner returns the learner, limited to what a person who teaches may see.
func (t Taught) Learner() newel.Learner {
	return newel.Learner{ID: t.LearnerID, FamilyID: t.FamilyID, Nickname: t.Nickname, Care: t.Care}
}

// Open reports whether the placement is open.
func (t Taught) Open() bool { return t.EndedAt == nil }
