package newel

import (
	"encoding/json"
	"time"
)

// CaseloadRow is one open placement of the caseload: whose it is, what is
// taught, what the evaluator said last and what was decided last.
type CaseloadRow struct {
	PlacementID  PlacementID
	AssignmentID AssignmentID
	VersionID    VersionID
	FamilyID     FamilyID
	LearnerID    LearnerID
	ProgramID    ProgramID
	Learner      string
	Family       string
	TimeZone     string
	Program      string
	State        AssignmentState
	StepKey      string
	StrandKey    string
	StepLabel    string
	StepName     string
	Role         string
	Criterion    string
	BeganOn      Day
	HelpLevels   []string // of the version, from least to most help

	AsOf     *time.Time // nil: never read
	Status   string
	Body     json.RawMessage // criterion.Reading
	IdleFrom Day
	Stale    bool
	// NeedsPerson: a recording waits for somebody to join or set aside what
	// came late or twice.
	NeedsPerson bool

	// The latest decision on the placement, if any.
	DecisionID   *DecisionID
	DecisionKind DecisionKind
	DecidedAt    *time.Time
	DecidedOn    json.RawMessage // the reading it rested on
	LookAgain    Day
}

// LatestDecision is the id of the latest decision, or empty.
func (r CaseloadRow) LatestDecision() string {
	if r.DecisionID == nil {
		return ""
	}
	return r.DecisionID.String()
}

// SessionRow is one recording as summaries and graphs need it.
type SessionRow struct {
	ID          RecordingID
	PlacementID PlacementID
	Session     json.RawMessage // criterion.Session
	LocalDate   Day
	EndedAt     time.Time
	Void        bool
	Afterwards  bool
	NeedsPerson bool
	ByName      string
	Amendments  int // corrections after closing, as far as they were asked for
}

// DecisionRow is a decision with the names that a page shows.
type DecisionRow struct {
	Decision
	DecidedByName string
	StepKey       string
}

// AssignmentRow is an assignment of a learner with the program's title.
type AssignmentRow struct {
	Assignment
	Program string
}
