package program

import (
	"time"

	"newel/internal/newel"
)

// DayContract is the version of the PhoneDay format.
const DayContract = 1

const DayMediaType = "application/vnd.newel.day+json"

// PhoneDay is what a caregiver's phone needs until it is online again. It
// contains nicknames of children only.
type PhoneDay struct {
	Contract int             `json:"contract"`
	AsOf     time.Time       `json:"as_of"`
	Today    newel.Day       `json:"today"` // in the zone of the family
	Account  newel.AccountID `json:"account"`
	Name     string          `json:"name"`
	Device   string          `json:"device"` // empty for a password sign-in
	Learners []DayLearner    `json:"learners"`
	Kits     []DayKit        `json:"kits"` // of every placement in it
	SealKey  newel.SealKey   `json:"seal_key"`
	PINSet   bool            `json:"pin_set"`
	// Questions is the number of the clinic's questions waiting for an answer.
	Questions int `json:"questions"`
	// Agreed is the number of open actions that the family agreed to in
	// reviews.
	Agreed int `json:"agreed"`
	// Messages is the number of the clinic's messages that no one in the family
	// has read.
	Messages int `json:"messages"`
	// Review is the review in progress; empty if there is none.
	Review string `json:"review"`
	// Lost lists recordings that the phone once held and that are now neither
	// on the phone nor on the server.
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
	Resting   []DayOffer      `json:"resting"` // programs that must not be started
}

// DayOffer is a program as shown for a day.
type DayOffer struct {
	Assignment newel.AssignmentID `json:"assignment"`
	Placement  newel.PlacementID  `json:"placement"`
	Title      string             `json:"title"`
	Role       string             `json:"role"`
	Trials     int                `json:"trials"`
	Minutes    int                `json:"minutes"`
	Steps      []DayStep          `json:"steps"` // of the current strand
	Here       int                `json:"here"`  // index of the current step in Steps
	Note       string             `json:"note"`  // the reason for the last decision
	NoteBy     string             `json:"note_by"`
	Start      DayStart           `json:"start"`
}

// DayStart says which users of the phone may start a step. It is separate from
// the kit, because training progress must not change the kit that a recording
// was made with.
type DayStart struct {
	From    newel.TrainingState `json:"from"`
	State   newel.TrainingState `json:"state"`   // of the phone's owner
	Wanting []newel.PersonID    `json:"wanting"` // others who have not reached it
}

// DayStep is one step of a stairway.
type DayStep struct {
	Label string `json:"label"`
	Help  bool   `json:"help"` // help is planned on it
}

// DayKit is a kit with its hash, which recordings made with it refer to.
type DayKit struct {
	Hash string `json:"hash"`
	Kit  Kit    `json:"kit"`
}
