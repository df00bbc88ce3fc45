package newel

import (
	"encoding/json"
	"time"

	"newel/internal/criterion"
)

// CaseloadRow is one open placement of the caseload: the learner, the program,
// a summary of the latest reading, and the latest decision.
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
	BeganAt      time.Time
	BeganOn      Day
	Number       int  // of the version
	Newest       int  // number of the latest published version
	Own          bool // the version is individualized for this learner

	Gist     *Gist // nil: not evaluated yet
	IdleFrom Day
	Stale    bool
	ByRule   bool // met, on a step that a rule may advance
	// WithSurplus is the number of recordings with surplus to join or set aside,
	// Quarantined of those in quarantine.
	WithSurplus int
	Quarantined int
	Late        *Late // for this step, or the one before in the strand

	// The latest decision on the placement, if any.
	DecisionID   *DecisionID
	DecisionKind DecisionKind
	DecidedAt    *time.Time
	Answered     *Gist // of the reading that it was based on
	CloseSeen    bool  // whether any decision on the placement answered the flag "close"
	LookAgain    Day   // zero also if the outcome of what was expected by then has been recorded

	// Due is what an earlier decision expected by a day that has passed, while
	// no outcome has been recorded.
	Due *Expectation

	// Unrecorded: the criterion asks for seconds that the step does not record, so
	// that it could never be met. Publishing refuses such a step; this one was
	// published before.
	Unrecorded bool

	Answers int // the family's answers to questions asked since, not decided on yet

	TouchAllowed bool // for the learner
	// NobodyHere reports that no one in the family may start the step without
	// the clinic; NobodyNext, that no one could start the next one. Only where
	// that needs more than reading. They are not columns.
	NobodyHere, NobodyNext bool
}

// LatestDecision returns the id of the latest decision, or "".
func (r CaseloadRow) LatestDecision() string {
	if r.DecisionID == nil {
		return ""
	}
	return r.DecisionID.String()
}

// CaseloadContext is what a caseload needs besides its rows.
type CaseloadContext struct {
	TimeZone string // of the clinic
	Looking  []FamilyStaff
	Unsent   map[string]int   // sessions that the phones of a family still hold, by family
	Happened int              // incidents to which the clinic has not responded
	Agreed   int              // the clinic's open agreed actions
	Unread   []UnreadMessages // families' unread messages, oldest first
	Starts   []VersionStarts  // of the versions that are taught
	Trained  []TrainedPerson  // everyone who teaches in a family
}

// VersionStarts says what each step of a version needs to be started.
type VersionStarts struct {
	Version  VersionID       `json:"version"`
	Document json.RawMessage `json:"document"` // a program document with only those fields
}

// TrainedPerson is a person who teaches in a family, with their training.
type TrainedPerson struct {
	Family  FamilyID                    `json:"family"`
	Account *AccountID                  `json:"account"`
	States  map[ProgramID]TrainingState `json:"states"` // the latest of each program
}

// State returns the person's state in a program; see TrainingOf.
func (p TrainedPerson) State(program ProgramID) TrainingState {
	state := p.States[program]
	if p.Account == nil && state == TrainingNone {
		return TrainingRead
	}
	return state
}

// FamilyStaff is a person who has a family on their caseload.
type FamilyStaff struct {
	Family  FamilyID  `json:"family"`
	Account AccountID `json:"account"`
	Name    string    `json:"name"`
}

// Gist is a reading without the parts that only its own page needs. Lists are
// grouped by it, and a decision stores the one that it answered.
type Gist struct {
	Status   criterion.Status `json:"status"`
	Flags    []criterion.Flag `json:"flags"`
	Sessions int              `json:"sessions"` // all that were evaluated
	Counted  int              `json:"counted"`
	Last     Day              `json:"last,omitzero"` // date of the last session
	// Twice lists pairs of sessions held at the same time: perhaps one session
	// recorded twice.
	Twice [][2]string `json:"twice,omitempty"`
	// Evaluator is the version that made the reading; 0 for version 1, which did
	// not note it.
	Evaluator int `json:"evaluator,omitempty"`
}

// Flag returns the flag of the kind and whether it is raised. A nil Gist has
// none.
func (g *Gist) Flag(kind criterion.FlagKind) (criterion.Flag, bool) {
	if g != nil {
		for _, f := range g.Flags {
			if f.Kind == kind {
				return f, true
			}
		}
	}
	return criterion.Flag{}, false
}

// Outdated reports whether an earlier evaluator made the reading. A nil Gist is
// not outdated: there is no reading.
func (g *Gist) Outdated() bool { return g != nil && g.Evaluator < criterion.EvaluatorVersion }

// Met reports whether the criterion is met.
func (g *Gist) Met() bool { return g != nil && g.Status == criterion.StatusMet }

// Late reports sessions that were held before a decision but reached the server
// after it.
type Late struct {
	Decision DecisionID       `json:"decision"`
	Kind     DecisionKind     `json:"kind"`
	Step     string           `json:"step"` // key of the step that was decided on
	Sessions []RecordingID    `json:"sessions"`
	Changes  bool             `json:"changes"` // the reading would have been different
	Was      criterion.Status `json:"was"`
	Now      criterion.Status `json:"now"`
	At       time.Time        `json:"at"` // when the last of them arrived
}

// SessionRow is one recording as needed for summaries and graphs.
type SessionRow struct {
	ID          RecordingID
	PlacementID PlacementID
	Of          KeptSession `db:"session"`
	StartedAt   time.Time
	LocalDate   Day
	EndedAt     time.Time
	Void        bool
	Afterwards  bool
	NeedsPerson bool
	By          *PersonID
	ByName      string
	AuthorID    AccountID // whose phone it was
	Amendments  int       // corrections after closing, if requested
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
