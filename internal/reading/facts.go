package reading

import (
	"encoding/json"
	"time"

	"newel/internal/newel"
	"newel/internal/program"
)

// Facts is what a placement's reading is computed from, except for the time.
type Facts struct {
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
	Sessions     newel.KeptSessions // of the closed recordings, unordered
	Damage       error              // why the sessions cannot be decoded; fails the evaluation, never a recording
	Decided      *LatestDecision    // nil if there is no decision on the placement yet
}

// HelpRules are the program's rules for changing the planned help; empty for
// none.
type HelpRules struct {
	Less string `json:"less"`
	More string `json:"more"`
}

// LatestDecision is the latest decision on a placement, and the earlier sessions
// that reached the server after it.
type LatestDecision struct {
	ID      newel.DecisionID   `json:"id"`
	Kind    newel.DecisionKind `json:"kind"`
	At      time.Time          `json:"at"`
	Reading json.RawMessage    `json:"reading"`
	// Evaluator is the version that made the reading; 0 for version 1.
	Evaluator int           `json:"evaluator"`
	Late      []LateSession `json:"late"`
}

// LateSession is a closed recording that arrived after a decision.
type LateSession struct {
	ID newel.RecordingID `json:"id"`
	At time.Time         `json:"at"`
}

// PauseMark is a time at which teaching was paused or resumed.
type PauseMark struct {
	Kind newel.DecisionKind `json:"kind"`
	At   time.Time          `json:"at"`
}
