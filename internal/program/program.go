package program

import (
	"slices"
	"time"

	"newel/internal/measure"
	"newel/internal/newel"
)

// DocumentFormat is the format number of every program document.
const DocumentFormat = 1

// Document is a whole program: what a supervisor writes and a caregiver reads.
// A published version is one immutable Document; a draft is stored as typed,
// complete or not.
type Document struct {
	Format      int    `json:"format"`
	Title       string `json:"title"`
	SkillArea   string `json:"skill_area"`
	Purpose     string `json:"purpose"` // why this, why now, what it leads to
	ForWhom     string `json:"for_whom"`
	Setting     string `json:"setting"` // where and when, and when not to
	Language    string `json:"language"`
	Cautions    string `json:"cautions"`
	StopRule    string `json:"stop_rule"`
	Generalize  string `json:"generalize"`
	Reinforcing string `json:"reinforcing"` // the reinforcer, and when it is given

	Prerequisites []Prerequisite `json:"prerequisites"`
	Materials     []Material     `json:"materials"`
	Difficulties  []Difficulty   `json:"difficulties"`
	HelpLevels    []HelpLevel    `json:"help_levels"` // from least to most help
	Procedure     Procedure      `json:"procedure"`
	Checklist     []string       `json:"checklist"` // procedural fidelity, observed item by item

	// MaintenanceWeeks are the weeks after a step is met at which it is
	// checked.
	MaintenanceWeeks []int `json:"maintenance_weeks"`

	Strands []Strand `json:"strands"`

	// These fields, and those of other types that are omitted when empty, were
	// added later: omitting them preserves the canonical bytes of documents
	// published before.
	Thinning      string `json:"thinning,omitempty"`        // reinforcement thinning
	Maintenance   string `json:"maintenance,omitempty"`     // how a mastered step is checked, and what to do if it is lost
	SessionsAWeek int    `json:"sessions_a_week,omitempty"` // planned
	Weeks         int    `json:"weeks,omitempty"`           // planned for the whole program
	// Needs lists the skills a learner should have before starting; Teaches
	// lists those the program leads to. They are names, so that a program can
	// be moved to a different clinic.
	Needs   []string      `json:"needs,omitempty"`
	Teaches []TaughtSkill `json:"teaches,omitempty"`

	// Unparsed occurs only in drafts: input that could not be parsed, by field
	// name (see Sheet). It is stored so that nothing typed is lost, and it
	// blocks publishing. Its name in JSON is UnparsedName.
	Unparsed map[string]string `json:"unread,omitempty"`
}

// UnparsedName is the name of Document.Unparsed in stored documents and program
// files. It is older than the field's name and stays, so that they can be read.
const UnparsedName = "unread"

// Prerequisite is something the learner can already do before starting.
type Prerequisite struct {
	Key     string           `json:"key"`
	Text    string           `json:"text"`
	Program *newel.ProgramID `json:"program,omitempty"`
}

// Material is an item that is needed, with its caution, if any.
type Material struct {
	Text    string `json:"text"`
	Caution string `json:"caution"`
}

// Difficulty is a problem to expect and what to do about it. Steps are the keys
// of the steps that address it.
type Difficulty struct {
	Text   string   `json:"text"`
	Answer string   `json:"answer"`
	Steps  []string `json:"steps"`
}

// HelpLevel is one level of prompting. Touch marks levels that the learner's
// Care must allow.
type HelpLevel struct {
	Name  string `json:"name"`
	Touch bool   `json:"touch"`
}

// Procedure describes a trial: the cue, the wait, the prompt, and the response
// to each outcome.
type Procedure struct {
	Say         string  `json:"say"` // exact words or the natural cue
	HelpRule    string  `json:"help_rule"`
	WaitSeconds float64 `json:"wait_seconds"` // before help is given
	IfRight     string  `json:"if_right"`
	IfNotYet    string  `json:"if_not_yet"` // error correction
	IfSaysNo    string  `json:"if_says_no"`

	SayIn         Wordings      `json:"say_in,omitempty"`
	HelpProcedure HelpProcedure `json:"help_procedure,omitempty"`
	// LessHelp and MoreHelp define when the planned prompt moves one level down
	// or up. They are written like step-back rules; correct with the planned
	// prompt counts as correct.
	LessHelp string `json:"less_help,omitempty"`
	MoreHelp string `json:"more_help,omitempty"`
}

// Wordings holds the exact words in languages other than the program's, by BCP
// 47 tag. Cues are not suited to machine translation, because word order can
// give the answer away.
type Wordings map[string]string

// HelpProcedure is the way in which prompts are given and faded.
type HelpProcedure string

// The procedures of prompting (common practice).
const (
	LeastToMost       HelpProcedure = "least_to_most" // none at first, then more until correct
	MostToLeast       HelpProcedure = "most_to_least" // as planned from the start, less after success
	ConstantDelay     HelpProcedure = "constant_delay"
	ProgressiveDelay  HelpProcedure = "progressive_delay"
	Simultaneous      HelpProcedure = "simultaneous" // always immediately; probes show what has been learned
	GraduatedGuidance HelpProcedure = "graduated_guidance"
)

// HelpProcedures lists every procedure.
var HelpProcedures = []HelpProcedure{LeastToMost, MostToLeast, ConstantDelay, ProgressiveDelay, Simultaneous, GraduatedGuidance}

// Strand is a sequence of steps. A program has one strand, or one for each
// ActivityRole and possibly joint ones that open later.
type Strand struct {
	Key   string       `json:"key"`
	Role  ActivityRole `json:"role"`
	Opens []Opening    `json:"opens"` // all must be met; none means open from the start
	Steps []Step       `json:"steps"`
}

// ActivityRole is the learner's part in a strand; an empty name means that the
// activity has only one.
type ActivityRole struct {
	Name    string `json:"name"`
	Actions string `json:"actions"` // what that part does, in order
}

// Opening is a condition for a strand: that the given step is met.
type Opening struct {
	Strand string `json:"strand"`
	Step   string `json:"step"`
}

// Step is one stair. Its Key never changes and is never reused, so that graphs
// survive renaming steps and inserting new ones.
type Step struct {
	Key      string `json:"key"`
	Label    string `json:"label"` // short, as on a stairway: "U1"
	Name     string `json:"name"`
	Say      string `json:"say"`       // replaces the procedure's if not empty
	DoneWhen string `json:"done_when"` // response definition, including what does not count
	Context  string `json:"context"`   // who, where, with what

	Targets     []Target `json:"targets"`
	Measure     Measure  `json:"measure"`
	Trials      int      `json:"trials"`  // planned per session; 0 if not trial by trial
	Minutes     int      `json:"minutes"` // planned length of a session
	Choices     int      `json:"choices"` // number of choices, 0 if not a choice
	PlannedHelp string   `json:"planned_help"`
	Order       Order    `json:"order"`

	Criterion string    `json:"criterion"` // in words; see package criterion
	StepBack  string    `json:"step_back"`
	Rules     StepRules `json:"rules"`

	AdvanceByRule bool `json:"advance_by_rule"`
	Coping        bool `json:"coping"`      // practices something hard to bear, such as losing
	FoodReward    bool `json:"food_reward"` // requires a caregiver's agreement to that food

	// Omitted when empty, so that older versions keep their canonical bytes.
	Notice      string            `json:"notice,omitempty"` // one thing to notice, shown when a session ends
	PressToShow bool              `json:"held,omitempty"`   // the target is shown only while held: only one player may see it
	Picture     *newel.PictureRef `json:"picture,omitempty"`

	Phase string   `json:"phase,omitempty"` // in the clinic's own words, such as those of Phases
	Fits  Fits     `json:"fits,omitzero"`
	SayIn Wordings `json:"say_in,omitempty"` // in other languages, replaces the procedure's
	// Moment describes one trial if the adult does not simply ask: for a coping
	// step, one losing moment and how to arrange it.
	Moment string `json:"moment,omitempty"`
	// Examples and NonExamples illustrate DoneWhen. For a coping step they say
	// what still counts as steady and what does not.
	Examples     []string `json:"examples,omitempty"`
	NonExamples  []string `json:"non_examples,omitempty"`
	LimitSeconds float64  `json:"limit_seconds,omitempty"` // within which the response must begin; 0 for none
	WaitSeconds  *float64 `json:"wait_seconds,omitempty"`  // before a prompt, replaces the procedure's
	// AtOnce is how many targets are taught at a time, each mastered
	// individually while the others wait in order. 0: all are taught and
	// mastered together.
	AtOnce int `json:"at_once,omitempty"`
	Tokens int `json:"tokens,omitempty"` // until they are exchanged; 0 for none
	// Chain is how the parts of an activity are taught, for MeasureChain. Targets
	// are the parts, in the order in which they are done. TaughtPart is the name
	// of the part that the step teaches; see Taught.
	Chain      Chain  `json:"chain,omitempty"`
	TaughtPart string `json:"taught_part,omitempty"`
	// Expectations are what one trial expects of the learner at once, such as
	// waiting, taking one and passing the rest on; for MeasureExpectations.
	Expectations []Expectation `json:"expectations,omitempty"`
	// IntervalKind and IntervalSeconds say how intervals are observed, for
	// MeasureIntervals. Minutes is how long.
	IntervalKind    measure.IntervalKind `json:"interval_kind,omitempty"`
	IntervalSeconds float64              `json:"interval_seconds,omitempty"`
	// Baseline is how many sessions only observe before the step is taught.
	// Every ProbeEvery-th session after them is a probe; 0 for none.
	Baseline   int `json:"baseline,omitempty"`
	ProbeEvery int `json:"probe_every,omitempty"`
	// StartFrom is the training state required to start the step without a
	// supervisor; if empty, see StartsFrom.
	StartFrom newel.TrainingState `json:"start_from,omitempty"`
}

// Phases lists the usual names for a step's phase. Clinics name and order them
// differently, so any other name is equally valid.
var Phases = []string{
	"baseline", "massed trials", "massed trials with distractors", "blocks", "random rotation",
	"teaching", "generalization", "natural environment", "maintenance",
}

// Fits describes what a session must be like to count for the step (with whom,
// where and with what), in words for the person recording it. The criterion
// defines how many people or places are needed in total.
type Fits struct {
	People    string `json:"people,omitempty"`
	Place     string `json:"place,omitempty"`
	Materials string `json:"materials,omitempty"`
}

// StepRules overrides the default flag rules for a step. Zero values mean the
// default.
type StepRules struct {
	Off          []string `json:"off,omitempty"`
	Long         int      `json:"long,omitempty"`          // counted sessions
	FloorPercent int      `json:"floor_percent,omitempty"` // percent
	IdleDays     int      `json:"idle_days,omitempty"`     // days
}

// Target is one exemplar taught on a step.
type Target struct {
	Key  string `json:"key"`
	Name string `json:"name"`
	Card string `json:"card"` // what the recorder shows, if not the name

	Picture *newel.PictureRef `json:"picture,omitempty"`

	In  Wordings `json:"in,omitempty"`  // the name in other languages
	Set string   `json:"set,omitempty"` // the set it belongs to, if the step has several
}

// Expectation is one of several things that a trial expects of the learner.
type Expectation struct {
	Key  string   `json:"key"`
	Name string   `json:"name"`
	In   Wordings `json:"in,omitempty"` // the name in other languages
}

// Measure is how a session on the step is recorded.
type Measure string

// The measures. The criterion decides how they are evaluated.
const (
	MeasureTrials       Measure = "trials"
	MeasureLatency      Measure = "latency"      // trials, each with the seconds to the response
	MeasureRecovery     Measure = "recovery"     // trials, each with the seconds until the learner is steady again
	MeasureExpectations Measure = "expectations" // trials, each with several expectations
	MeasureChain        Measure = "chain"        // the parts of an activity (task analysis)
	MeasureCount        Measure = "count"
	MeasureDuration     Measure = "duration"
	MeasureIntervals    Measure = "intervals"
)

// Measures lists every measure.
var Measures = []Measure{
	MeasureTrials, MeasureLatency, MeasureRecovery, MeasureExpectations, MeasureChain, MeasureCount, MeasureDuration, MeasureIntervals,
}

// ByTrial reports whether the measure is recorded trial by trial.
func (m Measure) ByTrial() bool {
	switch m {
	case MeasureCount, MeasureDuration, MeasureIntervals:
		return false
	}
	return true
}

// Chain is the order in which the parts of an activity are taught.
type Chain string

// The chains (common practice).
const (
	ForwardChain  Chain = "forward"  // the first part, then the first two, and so on; the adult does the rest
	BackwardChain Chain = "backward" // the last part first, so that every run ends in success
	TotalTask     Chain = "total"    // all parts every time, with prompts where needed
)

// Chains lists every chain.
var Chains = []Chain{ForwardChain, BackwardChain, TotalTask}

// Order is the rule for the order of a session's targets.
type Order struct {
	Rule       string   `json:"rule"` // massed, blocked or rotation
	Block      int      `json:"block"`
	Known      []string `json:"known"`
	KnownShare float64  `json:"known_share"` // percent of all trials
	MaxSame    int      `json:"max_same"`
}

// Program is a program in the clinic's library, without its texts.
type Program struct {
	ID        newel.ProgramID
	Title     string
	SkillArea string
	CreatedBy newel.AccountID
	CreatedAt time.Time

	Origin     string // "copy", "import" or "starter"; empty if written here
	CopiedFrom *newel.ProgramID
	ArchivedAt *time.Time
}

// Version is a published, immutable document.
type Version struct {
	ID          newel.VersionID
	ProgramID   newel.ProgramID
	Number      int
	Document    Document
	Hash        string // of the canonical document, hex
	PublishedBy newel.AccountID
	PublishedAt time.Time
	Own         bool // individualized for one learner: see Branch
	// Confirmed is the statement that the publisher confirmed, as worded at the
	// time; empty for versions from before it was required.
	Confirmed string
}

// Step returns the step with the key and the strand that contains it.
func (d *Document) Step(key string) (*Strand, *Step) {
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			if d.Strands[i].Steps[j].Key == key {
				return &d.Strands[i], &d.Strands[i].Steps[j]
			}
		}
	}
	return nil, nil
}

// Following returns the step after the given one in its strand, or nil.
func (d *Document) Following(key string) *Step { return d.neighbour(key, 1) }

// Preceding returns the step before the given one in its strand, or nil.
func (d *Document) Preceding(key string) *Step { return d.neighbour(key, -1) }

func (d *Document) neighbour(key string, by int) *Step {
	strand, _ := d.Step(key)
	if strand == nil {
		return nil
	}
	for i := range strand.Steps {
		if strand.Steps[i].Key == key {
			if n := i + by; n >= 0 && n < len(strand.Steps) {
				return &strand.Steps[n]
			}
		}
	}
	return nil
}

// OpensAfter reports whether the strand may be started once these steps are
// mastered.
func (s *Strand) OpensAfter(met map[string]bool) bool {
	for _, o := range s.Opens {
		if !met[o.Step] {
			return false
		}
	}
	return true
}

// Taught returns the targets that a session scores: all of them, except in a
// chain the parts that the adult does as planned.
func (s *Step) Taught() []Target {
	at := slices.IndexFunc(s.Targets, func(t Target) bool { return t.Name == s.TaughtPart })
	if s.Measure != MeasureChain || at < 0 {
		return s.Targets
	}
	switch s.Chain {
	case ForwardChain:
		return s.Targets[:at+1]
	case BackwardChain:
		return s.Targets[at:]
	}
	return s.Targets
}

// With returns the step with a learner's individualized texts.
func (s *Step) With(o newel.StepOverride) Step {
	own := *s
	replace(&own.Say, o.Say)
	replace(&own.Criterion, o.Criterion)
	replace(&own.StepBack, o.StepBack)
	replace(&own.Trials, o.Trials)
	return own
}

func replace[T any](field, by *T) {
	if by != nil {
		*field = *by
	}
}
