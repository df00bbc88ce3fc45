package newel

import (
	"slices"
	"time"
)

// TrainingState is how far a person who teaches has progressed with a program.
// Empty means none: not even read.
type TrainingState string

// The stages of caregiver training: instructions, modeling, practice with
// feedback, then independent (common practice).
const (
	TrainingNone      TrainingState = ""
	TrainingRead      TrainingState = "read"      // has read how to teach it
	TrainingShown     TrainingState = "shown"     // has watched a supervisor teach it
	TrainingPracticed TrainingState = "practised" // has taught it while a supervisor watched
	TrainingAlone     TrainingState = "alone"     // teaches it without supervision
)

// TrainingStates lists the states in order, without none.
var TrainingStates = []TrainingState{TrainingRead, TrainingShown, TrainingPracticed, TrainingAlone}

// Known reports whether s is a valid state or none.
func (s TrainingState) Known() bool { return s == TrainingNone || slices.Contains(TrainingStates, s) }

// Reaches reports whether s is at least as far as o.
func (s TrainingState) Reaches(o TrainingState) bool {
	return slices.Index(TrainingStates, s) >= slices.Index(TrainingStates, o)
}

// Training records how far a person has progressed with a program. Entries
// never change; the latest counts.
type Training struct {
	ID        TrainingID
	FamilyID  FamilyID
	PersonID  PersonID
	ProgramID ProgramID
	State     TrainingState
	// VersionID is the version taught at that time; zero if none was.
	VersionID *VersionID
	Note      string
	// SetBy is nil for people who were already teaching before training was
	// recorded.
	SetBy     *AccountID
	SetByName string
	SetAt     time.Time
}

// TrainingOf returns the current state according to the entries, in any order.
// A person without a phone of their own cannot confirm reading, since they read
// on another's phone, so they count as having read.
func TrainingOf(entries []Training, p Person, program ProgramID) TrainingState {
	state := TrainingNone
	if t, found := LatestTraining(entries, p.ID, program); found {
		state = t.State
	}
	if p.Account == nil && state == TrainingNone {
		return TrainingRead
	}
	return state
}

// LatestTraining returns the latest entry about a person and a program.
func LatestTraining(entries []Training, person PersonID, program ProgramID) (last Training, found bool) {
	for _, t := range entries {
		if t.PersonID == person && t.ProgramID == program && (!found || last.before(t)) {
			last, found = t, true
		}
	}
	return last, found
}

func (t Training) before(o Training) bool {
	if c := t.SetAt.Compare(o.SetAt); c != 0 {
		return c < 0
	}
	return t.ID.String() < o.ID.String()
}

// Untrained reports whether the person who taught a session had not reached the
// state that the step requires, according to the entries at the session's
// start.
func Untrained(entries []Training, p Person, program ProgramID, from TrainingState, began time.Time) bool {
	then := slices.DeleteFunc(slices.Clone(entries), func(t Training) bool { return t.SetAt.After(began) })
	return !TrainingOf(then, p, program).Reaches(from)
}
