package reading

import (
	"time"

	"newel/internal/newel"
	"newel/internal/program"
)

// Taught is a placement with everything that whoever teaches it has to know.
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
	Met          []string // targets that are met, where each is mastered on its own
	Document     program.Document
	Overrides    map[string]newel.StepOverride
	LastOn       newel.Day // local date of the last closed session; zero if there was none
	LastEndedAt  *time.Time
	// Note is what the latest decision gives as its reason, and NoteBy who
	// decided; empty if nothing was decided.
	Note   string
	NoteBy string
}

// Learner gives the learner, as far as whoever teaches may see.
func (t Taught) Learner() newel.Learner {
	return newel.Learner{ID: t.LearnerID, FamilyID: t.FamilyID, Nickname: t.Nickname, Care: t.Care}
}

// Open reports whether the placement still goes on.
func (t Taught) Open() bool { return t.EndedAt == nil }
