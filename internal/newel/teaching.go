package newel

import (
	"encoding/json"
	"slices"
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

// Kit is everything a phone needs to teach and record one placement without
// a network. It names the child by nickname only.
type Kit struct {
	Contract    int         `json:"contract"`
	Placement   PlacementID `json:"placement"`
	Learner     string      `json:"learner"`
	Program     string      `json:"program"`
	Role        string      `json:"role"`
	StepLabel   string      `json:"step_label"`
	StepName    string      `json:"step_name"`
	Say         string      `json:"say"`
	WaitSeconds float64     `json:"wait_seconds"`
	HelpRule    string      `json:"help_rule"`
	IfRight     string      `json:"if_right"`
	IfNotYet    string      `json:"if_not_yet"`
	IfSaysNo    string      `json:"if_says_no"`
	DoneWhen    string      `json:"done_when"`
	Context     string      `json:"context"`
	Materials   []Material  `json:"materials"`
	Cautions    string      `json:"cautions"`
	StopRule    string      `json:"stop_rule"`
	StopSigns   string      `json:"stop_signs"`
	Alerts      Alerts      `json:"alerts"`
	HelpLevels  []string    `json:"help_levels"`
	PlannedHelp string      `json:"planned_help"`
	Measure     Measure     `json:"measure"`
	Targets     []Target    `json:"targets"`
	Trials      int         `json:"trials"`
	Minutes     int         `json:"minutes"`
	Choices     int         `json:"choices"`
	// Seed begins the order of the trials: 64 bits in decimal digits, the same
	// for a placement as long as its version is. A text, because a browser's
	// numbers hold 53.
	Seed    string      `json:"seed"`
	Order   Order       `json:"order,omitzero"` // how targets follow one another; in turn if it has no rule
	Notice  string      `json:"notice,omitempty"`
	Held    bool        `json:"held,omitempty"` // a target is shown only while held
	Picture *PictureRef `json:"picture,omitempty"`
	// Known are cards of what is learnt, to be mixed in where the order has a
	// share of them. OneByOne: Targets are those of the step that are worked on
	// now, and each is judged on its own.
	Known    []Target    `json:"known,omitempty"`
	OneByOne bool        `json:"one_by_one,omitempty"`
	Fits     Fits        `json:"fits,omitzero"` // what a session must be like to count
	Tokens   int         `json:"tokens,omitempty"`
	SayIn    []Saying    `json:"say_in,omitempty"` // Say in every language that there is, if in several
	People   []KitPerson `json:"people"`           // who may have taught
	Self     *PersonID   `json:"self"`             // the person this phone belongs to
}

// Saying is the exact words in one language.
type Saying struct {
	Lang string `json:"lang"` // BCP 47
	Name string `json:"name"` // of the language, in itself
	Text string `json:"text"`
}

// KitPerson is somebody who can be chosen as having taught.
type KitPerson struct {
	ID   PersonID `json:"id"`
	Name string   `json:"name"`
}

// KitContract is the version of the kit's form.
const KitContract = 1

// HelpBeside gives the level of planned help that is so many more than the one
// planned, levels being in order from least to most: -1 for one less. The least
// is none, which is empty. Nothing if there is no such level, or if what is
// planned is none of the levels.
func HelpBeside(levels []string, planned string, by int) (level string, is bool) {
	at := slices.Index(levels, planned) + 1
	if planned != "" && at == 0 || at+by < 0 || at+by > len(levels) {
		return "", false
	}
	if at+by == 0 {
		return "", true
	}
	return levels[at+by-1], true
}
