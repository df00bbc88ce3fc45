package reading

import (
	"encoding/json"
	"time"

	"newel/internal/newel"
	"newel/internal/program"
)

// Ground is what a placement's reading rests on, all but the moment.
type Ground struct {
	PlacementID  newel.PlacementID
	FamilyID     newel.FamilyID
	AssignmentID newel.AssignmentID
	TimeZone     string // the family's
	Criterion    string
	StepBack     string
	BeganAt      time.Time
	BeganOn      newel.Day
	Step         program.Step
	PlannedHelp  string // today's
	HelpRules    HelpRules
	HelpLevels   []program.HelpLevel
	Marks        []PauseMark
	Sessions     []json.RawMessage // of the closed recordings, in no order
	Decided      *DecidedGround    // nil: nothing was decided on the placement yet
}

// HelpRules are the program's rules for moving the planned help; empty: none.
type HelpRules struct {
	Less string `json:"less"`
	More string `json:"more"`
}

// DecidedGround is the latest decision on a placement, and what reached the
// server after it although it had been held before.
type DecidedGround struct {
	ID      newel.DecisionID   `json:"id"`
	Kind    newel.DecisionKind `json:"kind"`
	At      time.Time          `json:"at"`
	Reading json.RawMessage    `json:"reading"`
	Late    []LateSession      `json:"late"`
}

// LateSession is a closed recording that came after a decision.
type LateSession struct {
	ID newel.RecordingID `json:"id"`
	At time.Time         `json:"at"`
}

// PauseMark is a moment at which teaching was paused or taken up again.
type PauseMark struct {
	Kind newel.DecisionKind `json:"kind"`
	At   time.Time          `json:"at"`
}
