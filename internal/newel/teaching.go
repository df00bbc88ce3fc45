package newel

import (
	"encoding/json"
	"time"
)

// AssignmentState is whether an assignment is being taught.
type AssignmentState string

// The states of an assignment.
const (
	AssignmentActive   AssignmentState = "active"
	AssignmentPaused   AssignmentState = "paused"
	AssignmentResting  AssignmentState = "resting" // paused after a refusal until the clinic lifts the pause
	AssignmentFinished AssignmentState = "finished"
)

// Assignment is a program assigned to a learner.
type Assignment struct {
	ID        AssignmentID
	FamilyID  FamilyID
	LearnerID LearnerID
	ProgramID ProgramID
	State     AssignmentState
	// Overrides holds this learner's individualized texts by step key; they
	// remain in effect when a new version is published.
	Overrides map[string]StepOverride
	CreatedBy AccountID
	CreatedAt time.Time
}

// StepOverride replaces parts of a step for one learner. Nil leaves the
// program's own.
type StepOverride struct {
	Say       *string `json:"say,omitempty"`
	Criterion *string `json:"criterion,omitempty"`
	StepBack  *string `json:"step_back,omitempty"`
	Trials    *int    `json:"trials,omitempty"`
}

// Placement is the time that an assignment spends on one step of one version
// under one criterion. Readings are about placements.
type Placement struct {
	ID           PlacementID
	FamilyID     FamilyID
	AssignmentID AssignmentID
	VersionID    VersionID
	StepKey      string
	StrandKey    string
	Criterion    string // canonical
	StepBack     string // canonical, or empty
	PlannedHelp  string
	BeganAt      time.Time
	BeganOn      Day // local date of the family
	EndedAt      *time.Time
}

// Reading is the stored evaluation of a placement at AsOf. It is a cache: it
// can always be recomputed from the recordings.
type Reading struct {
	PlacementID PlacementID
	FamilyID    FamilyID
	AsOf        time.Time
	Evaluator   int
	Status      string
	Body        json.RawMessage // criterion.Reading
	IdleFrom    Day
	Stale       bool // evaluation failed or is due: the body is older than the recordings

	// For lists; see CaseloadRow.
	Gist   *Gist
	Latest []KeptSession // the latest ones, oldest first
	ByRule bool
	Late   *Late
}

// DecisionKind is a supervisor's response to a reading.
type DecisionKind string

// The decisions. Those for which Closes is true end the placement they answer.
const (
	DecisionAdvance  DecisionKind = "advance"
	DecisionStepBack DecisionKind = "step_back"
	DecisionHold     DecisionKind = "hold"
	DecisionRevise   DecisionKind = "revise"
	DecisionBranch   DecisionKind = "branch"
	DecisionPause    DecisionKind = "pause"
	DecisionResume   DecisionKind = "resume"
	DecisionFinish   DecisionKind = "finish"
	DecisionSeen     DecisionKind = "seen"
	DecisionLessHelp DecisionKind = "less_help" // plan one level less help from now on
	DecisionMoreHelp DecisionKind = "more_help"
	DecisionLift     DecisionKind = "lift" // ends the pause after a child's no; the reason is what was agreed
)

// Closes reports whether the decision ends the placement.
func (k DecisionKind) Closes() bool {
	switch k {
	case DecisionAdvance, DecisionStepBack, DecisionRevise, DecisionBranch, DecisionFinish:
		return true
	}
	return false
}

// HelpStep returns by how many levels the decision changes the planned help.
func (k DecisionKind) HelpStep() int {
	switch k {
	case DecisionLessHelp:
		return -1
	case DecisionMoreHelp:
		return 1
	}
	return 0
}

// Decision answers a reading. It is never changed or deleted.
type Decision struct {
	ID            DecisionID
	FamilyID      FamilyID
	PlacementID   PlacementID
	Kind          DecisionKind
	Reason        string // for the clinic only, except of a lift
	ForFamily     string // what the family reads; empty for nothing
	Expected      string
	ExpectedBy    Day
	AgreedOn      Day             // of a lift: when it was agreed
	Reading       json.RawMessage // the reading it was based on; null if there was none
	Answered      *Gist           // summary of that reading
	Help          string          // planned help from then on, if it changed; empty for none
	ByRule        bool            // made by a rule that DecidedBy signed, without a click
	NextPlacement *PlacementID
	DecidedBy     AccountID
	DecidedAt     time.Time
}

// Closes reports whether the decision ends its placement. A revision that only
// starts a draft does not: teaching continues with the old version until the
// new one is published.
func (d Decision) Closes() bool {
	return d.Kind.Closes() && (d.Kind != DecisionRevise || d.NextPlacement != nil)
}

// Branch is a version individualized for one learner.
type Branch struct {
	VersionID    VersionID
	FamilyID     FamilyID
	AssignmentID AssignmentID
	StepKey      string // the step that was split
}

// Question is a question to a family about one placement.
type Question struct {
	ID             QuestionID
	FamilyID       FamilyID
	PlacementID    PlacementID
	Text           string
	AskedBy        AccountID
	AskedByName    string
	AskedAt        time.Time
	Answer         string
	AnsweredByName string
	AnsweredAt     *time.Time // nil if not answered yet
	TimeZone       string     // of the family
}
