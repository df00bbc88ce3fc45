package newel

import (
	"encoding/json"
	"time"
)

// AssignmentState says whether an assignment is being taught.
type AssignmentState string

// The states of an assignment.
const (
	AssignmentActive   AssignmentState = "active"
	AssignmentPaused   AssignmentState = "paused"
	AssignmentResting  AssignmentState = "resting" // after a child's no, until somebody has looked
	AssignmentFinished AssignmentState = "finished"
)

// Assignment is a program put on a learner.
type Assignment struct {
	ID        AssignmentID
	FamilyID  FamilyID
	LearnerID LearnerID
	ProgramID ProgramID
	State     AssignmentState
	// Overrides are this learner's own texts, by step key; they stay
	// overrides when a new version is published.
	Overrides map[string]StepOverride
	CreatedBy AccountID
	CreatedAt time.Time
}

// StepOverride replaces parts of a step for one learner. Nil keeps the
// program's own.
type StepOverride struct {
	Say       *string `json:"say,omitempty"`
	Criterion *string `json:"criterion,omitempty"`
	StepBack  *string `json:"step_back,omitempty"`
	Trials    *int    `json:"trials,omitempty"`
}

// Placement is one stay of an assignment on one step of one version under
// one criterion. It is what a reading is about.
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

// Reading is what the evaluator said of a placement at AsOf. It is a cache
// with a proof: it can be computed again from the recordings.
type Reading struct {
	PlacementID PlacementID
	FamilyID    FamilyID
	AsOf        time.Time
	Evaluator   int
	Status      string
	Body        json.RawMessage // criterion.Reading
	IdleFrom    Day
	Stale       bool // evaluating failed or is due: the body is older than the recordings

	// For lists; see CaseloadRow.
	Gist   *Gist
	Latest []json.RawMessage // criterion.Session, the newest, oldest first
	ByRule bool
	Late   *Late
}

// DecisionKind is what a supervisor does about a reading.
type DecisionKind string

// The decisions. Those of Closes end the placement they answer.
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
	DecisionLessHelp DecisionKind = "less_help" // one level less is planned from now on
	DecisionMoreHelp DecisionKind = "more_help"
)

// Closes reports whether the decision ends the placement.
func (k DecisionKind) Closes() bool {
	switch k {
	case DecisionAdvance, DecisionStepBack, DecisionRevise, DecisionBranch, DecisionFinish:
		return true
	}
	return false
}

// HelpStep is by how many levels the decision moves the planned help.
func (k DecisionKind) HelpStep() int {
	switch k {
	case DecisionLessHelp:
		return -1
	case DecisionMoreHelp:
		return 1
	}
	return 0
}

// Decision answers a reading. It is never changed and never deleted.
type Decision struct {
	ID            DecisionID
	FamilyID      FamilyID
	PlacementID   PlacementID
	Kind          DecisionKind
	Reason        string
	Expected      string
	ExpectedBy    Day
	Reading       json.RawMessage // what it rested on; null if there was none
	Answered      *Gist           // the same in short
	Help          string          // planned from then on, if it moved the help; empty: none
	ByRule        bool            // nobody pressed it: a rule did that DecidedBy has signed
	NextPlacement *PlacementID
	DecidedBy     AccountID
	DecidedAt     time.Time
}

// Closes reports whether the decision ends its placement. A revision that
// only begins a draft does not: one goes on by the old version until the new
// one is published.
func (d Decision) Closes() bool {
	return d.Kind.Closes() && (d.Kind != DecisionRevise || d.NextPlacement != nil)
}

// Branch is a version that was cut for one learner.
type Branch struct {
	VersionID    VersionID
	FamilyID     FamilyID
	AssignmentID AssignmentID
	StepKey      string // the step that was cut finer
	MadeBy       AccountID
	MadeAt       time.Time
}

// Question is asked of a family about one stay on a step.
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
	AnsweredAt     *time.Time // nil: it waits
	TimeZone       string     // of the family
}
