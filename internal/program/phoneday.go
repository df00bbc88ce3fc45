package program

import (
	"time"

	"newel/internal/criterion"
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
	Resting   []DayOffer      `json:"resting"` // paused after a no: must not be started until the clinic lifts the pause
	Checks    []DayCheck      `json:"checks"`
	Done      []DaySession    `json:"done"`     // closed today, in the order in which they ended
	Begun     []DaySession    `json:"begun"`    // begun today and still open, on whatever phone
	Paused    []DayProgram    `json:"paused"`   // by the clinic
	Finished  []DayProgram    `json:"finished"` // newest first
	Fact      *DayFact        `json:"fact"`     // nil: the records have none yet
}

// DayCheck is a check of a learned step that is due.
type DayCheck struct {
	Assignment newel.AssignmentID `json:"assignment"`
	Placement  newel.PlacementID  `json:"placement"`
	Title      string             `json:"title"`
	Role       string             `json:"role"`
	Step       string             `json:"step"`
	Since      newel.Day          `json:"since"` // the day it fell due
	Learned    newel.Day          `json:"learned"`
	Trials     int                `json:"trials"` // 0: the step does not say
	Start      DayStart           `json:"start"`
}

// DaySession is one of today's sessions. It says enough to be shown without its
// kit, because the learner may have moved on since.
type DaySession struct {
	ID         newel.RecordingID  `json:"id"`
	Assignment newel.AssignmentID `json:"assignment"`
	Placement  newel.PlacementID  `json:"placement"`
	Title      string             `json:"title"`
	Role       string             `json:"role"`
	Kind       string             `json:"kind"`
	ByName     string             `json:"by_name"`
	Began      time.Time          `json:"began"`
	Ended      time.Time          `json:"ended"`
	Afterwards bool               `json:"afterwards"`
	Stopped    bool               `json:"stopped"` // the child said no
	Trials     int                `json:"trials"`
	Marks      []string           `json:"marks"`               // of its tries, by the names of the phone's marks
	Count      *int64             `json:"count,omitempty"`     // if it was counted
	Seconds    *int64             `json:"seconds,omitempty"`   // the total, if durations were timed
	Intervals  []bool             `json:"intervals,omitempty"` // if intervals were watched
}

// DayProgram is a program that is not taught at present.
type DayProgram struct {
	Assignment newel.AssignmentID `json:"assignment"`
	Placement  newel.PlacementID  `json:"placement"`
	Title      string             `json:"title"`
	Role       string             `json:"role"`
	Step       string             `json:"step"`
	Steps      []DayStep          `json:"steps"`   // of the strand
	Here       int                `json:"here"`    // index in Steps; their number if all are learned
	On         newel.Day          `json:"on"`      // when it was finished; zero if it is paused
	Until      newel.Day          `json:"until"`   // when the clinic looks again; zero if it did not say
	Learned    bool               `json:"learned"` // every step; otherwise it was ended before
}

// DayFact sets two things that the records say about one learner beside each
// other. It compares no one with anyone else and counts no missed days.
type DayFact struct {
	// Kind is "help" for tries of one step, first with help and later without,
	// or "learned" for two steps.
	Kind    string    `json:"kind"`
	Title   string    `json:"title"`
	WasStep string    `json:"was_step"`
	WasOn   newel.Day `json:"was_on"`
	WasN    int       `json:"was_n"` // tries with help
	WasOf   int       `json:"was_of"`
	NowStep string    `json:"now_step"`
	NowOn   newel.Day `json:"now_on"`
	NowN    int       `json:"now_n"` // tries without help
	NowOf   int       `json:"now_of"`
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
	Step       string             `json:"step"`  // name of the current step
	Note       string             `json:"note"`  // what the clinic wrote for the family
	NoteBy     string             `json:"note_by"`
	NoteOn     newel.Day          `json:"note_on"`
	Start      DayStart           `json:"start"`
	// Said is what the family has said about the no that paused the program,
	// oldest first.
	Said []newel.Said `json:"said"`
	// Lifted is what was agreed when the clinic last lifted such a pause; nil if
	// it was long ago or never.
	Lifted *newel.Lifted `json:"lifted"`
	// Kinds are those of the next sessions, in order; see Step.KindsAhead.
	Kinds []criterion.Kind `json:"kinds"`
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
