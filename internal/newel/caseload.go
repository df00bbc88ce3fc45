package newel

import (
	"encoding/json"
	"time"

	"newel/internal/criterion"
)

// CaseloadRow is one open placement of the caseload: whose it is, what is
// taught, the gist of what the evaluator said last, and what was decided last.
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
	Newest       int  // number of the version published last
	Own          bool // the version was cut for this learner

	Gist     *Gist // nil: never read
	IdleFrom Day
	Stale    bool
	ByRule   bool // met, on a step that may be advanced by rule
	// Waiting: recordings with something that somebody has to join or set
	// aside. Held: those in quarantine.
	Waiting int
	Held    int
	Late    *Late // of this step, or of the one before in the strand

	// The latest decision on the placement, if any.
	DecisionID   *DecisionID
	DecisionKind DecisionKind
	DecidedAt    *time.Time
	Answered     *Gist // of the reading that it rested on
	LookAgain    Day   // empty too when somebody has said what came of what was expected by then

	// Due is what a decision that led here expected by a day that has passed,
	// and nobody has said what came of it.
	Due *Expectation

	Answers int // of the family to questions asked since, not decided on yet
}

// LatestDecision is the id of the latest decision, or empty.
func (r CaseloadRow) LatestDecision() string {
	if r.DecisionID == nil {
		return ""
	}
	return r.DecisionID.String()
}

// CaseloadAround is what a caseload rests on beside its rows.
type CaseloadAround struct {
	TimeZone string // of the clinic
	Looking  []Looking
	Unsent   map[string]int // sessions that the phones of a family still hold, by family
	Happened int            // incidents of which the clinic has not said what follows
	Agreed   int            // what the clinic has still to do
	Waiting  []Waiting      // messages of families that nobody of the clinic has read, the oldest first
}

// Looking says who has a family on their caseload.
type Looking struct {
	Family  FamilyID  `json:"family"`
	Account AccountID `json:"account"`
	Name    string    `json:"name"`
}

// Gist is a reading without what only its own page needs. Lists are grouped
// by it, and a decision keeps the one that it answered.
type Gist struct {
	Status   criterion.Status `json:"status"`
	Flags    []criterion.Flag `json:"flags"`
	Sessions int              `json:"sessions"` // all that were read
	Counted  int              `json:"counted"`
	Last     Day              `json:"last,omitzero"` // date of the last session
	// Twice are sessions that were held at the same time: perhaps one that was
	// recorded twice.
	Twice [][2]string `json:"twice,omitempty"`
}

// Flag gives the flag of the kind, if it is raised. A nil Gist has none.
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

// Met reports whether the criterion is met.
func (g *Gist) Met() bool { return g != nil && g.Status == criterion.StatusMet }

// Late says that sessions reached the server after a decision which they
// should have borne on: they had been held before it.
type Late struct {
	Decision DecisionID       `json:"decision"`
	Kind     DecisionKind     `json:"kind"`
	Step     string           `json:"step"` // key of the step decided about
	Sessions []RecordingID    `json:"sessions"`
	Changes  bool             `json:"changes"` // the reading decided on would have been another
	Was      criterion.Status `json:"was"`
	Now      criterion.Status `json:"now"`
	At       time.Time        `json:"at"` // when the last of them came
}

// SessionRow is one recording as summaries and graphs need it.
type SessionRow struct {
	ID          RecordingID
	PlacementID PlacementID
	Session     json.RawMessage // criterion.Session
	StartedAt   time.Time
	LocalDate   Day
	EndedAt     time.Time
	Void        bool
	Afterwards  bool
	NeedsPerson bool
	By          *PersonID
	ByName      string
	AuthorID    AccountID // whose phone it was
	Amendments  int       // corrections after closing, as far as they were asked for
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
