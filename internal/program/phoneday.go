package program

import (
	"time"

	"newel/internal/newel"
)

// DayContract is the version of the form of PhoneDay.
const DayContract = 1

const DayMediaType = "application/vnd.newel.day+json"

// PhoneDay is what a caregiver's phone needs until it is online again. It
// names children by nickname only.
type PhoneDay struct {
	Contract int             `json:"contract"`
	AsOf     time.Time       `json:"as_of"`
	Today    newel.Day       `json:"today"` // in the zone of the family
	Account  newel.AccountID `json:"account"`
	Name     string          `json:"name"`
	Device   string          `json:"device"` // empty for a password sign-in
	Learners []DayLearner    `json:"learners"`
	Kits     []DayKit        `json:"kits"` // of every placement named
	SealKey  newel.SealKey   `json:"seal_key"`
	PINSet   bool            `json:"pin_set"`
	// Questions: how many of the clinic's questions wait for an answer.
	Questions int `json:"questions"`
	// Agreed: how much of what was agreed in reviews is the family's and still
	// to do.
	Agreed int `json:"agreed"`
	// Messages: how many of the clinic's messages nobody of the family has read.
	Messages int `json:"messages"`
	// Review is the review that goes on; empty: none does.
	Review string `json:"review"`
	// Lost: recordings that the phone once held and that are neither there
	// nor here any more.
	Lost []newel.RecordingID `json:"lost"`
}

// DayLearner is one learner's day.
type DayLearner struct {
	ID        newel.LearnerID `json:"id"`
	Nickname  string          `json:"nickname"`
	StopSigns string          `json:"stop_signs"`
	Alerts    newel.Alerts    `json:"alerts"`
	Next      *DayOffer       `json:"next"` // nil: nothing to do
	Others    []DayOffer      `json:"others"`
	Resting   []DayOffer      `json:"resting"` // not to be started
}

// DayOffer is a program as a day shows it.
type DayOffer struct {
	Assignment newel.AssignmentID `json:"assignment"`
	Placement  newel.PlacementID  `json:"placement"`
	Title      string             `json:"title"`
	Role       string             `json:"role"`
	Trials     int                `json:"trials"`
	Minutes    int                `json:"minutes"`
	Steps      []DayStep          `json:"steps"` // of the strand being climbed
	Here       int                `json:"here"`  // index of the current step in Steps
	Note       string             `json:"note"`  // why the last decision was taken
	NoteBy     string             `json:"note_by"`
	Start      DayStart           `json:"start"`
}

// DayStart says who of those who use the phone may start a step. It stands
// beside the kit and not in it: what a recording was made by does not change
// with who has learnt to teach it.
type DayStart struct {
	From    newel.TrainingState `json:"from"`
	State   newel.TrainingState `json:"state"`   // of whom the phone belongs to
	Wanting []newel.PersonID    `json:"wanting"` // others who are not as far
}

// DayStep is one step of a stairway.
type DayStep struct {
	Label string `json:"label"`
	Help  bool   `json:"help"` // help is planned on it
}

// DayKit is a kit with the hash that recordings made under it name.
type DayKit struct {
	Hash string `json:"hash"`
	Kit  Kit    `json:"kit"`
}
