package newel

import (
	"slices"
	"time"
)

// TrainingState says how far somebody who teaches has come with a program.
// The empty state is none: not even read.
type TrainingState string

// The states of training, as the trade teaches those who teach: instructions,
// a model, practice with feedback, then alone (common practice).
const (
	NotTrained TrainingState = ""
	Read       TrainingState = "read"      // has read how it is taught
	Shown      TrainingState = "shown"     // has watched a supervisor do it
	Practised  TrainingState = "practised" // has done it while a supervisor watched
	Alone      TrainingState = "alone"     // does it without anybody watching
)

// TrainingStates lists the states in their order, without none.
var TrainingStates = []TrainingState{Read, Shown, Practised, Alone}

// Known reports whether s is a state or none.
func (s TrainingState) Known() bool { return s == NotTrained || slices.Contains(TrainingStates, s) }

// Reaches reports whether s is as far as the other, or further.
func (s TrainingState) Reaches(o TrainingState) bool {
	return slices.Index(TrainingStates, s) >= slices.Index(TrainingStates, o)
}

// Training is one entry of how far a person has come with a program. Entries
// are never changed: the newest stands.
type Training struct {
	ID        TrainingID
	FamilyID  FamilyID
	PersonID  PersonID
	ProgramID ProgramID
	State     TrainingState
	// VersionID is the version that was taught then; zero if none was.
	VersionID *VersionID
	Note      string
	// SetBy is nil for people who had taught before training was kept.
	SetBy     *AccountID
	SetByName string
	SetAt     time.Time
}

// TrainingOf gives the state that stands among the entries, in whatever order.
// Somebody without a phone of their own cannot say that they have read: they
// read on another's, so that this much is taken for granted.
func TrainingOf(entries []Training, p Person, program ProgramID) TrainingState {
	state := NotTrained
	if t, found := LatestTraining(entries, p.ID, program); found {
		state = t.State
	}
	if p.Account == nil && state == NotTrained {
		return Read
	}
	return state
}

// LatestTraining gives the newest entry about a person and a program.
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

// Untrained reports whether a session that began then was taught before the
// person was as far as its step starts from: by what stood at that moment.
func Untrained(entries []Training, p Person, program ProgramID, from TrainingState, began time.Time) bool {
	then := slices.DeleteFunc(slices.Clone(entries), func(t Training) bool { return t.SetAt.After(began) })
	return !TrainingOf(then, p, program).Reaches(from)
}
