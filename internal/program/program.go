package program

import (
	"time"

	"newel/internal/newel"
)

// DocumentFormat is the format number written into every program document.
const DocumentFormat = 1

// Document is a whole program: what a supervisor writes and a caregiver
// reads. A published version is one Document that never changes; a draft is
// one that is kept as typed, complete or not.
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
	Reinforcing string `json:"reinforcing"` // what makes it worth it, and when it is given

	Prerequisites []Prerequisite `json:"prerequisites"`
	Materials     []Material     `json:"materials"`
	Difficulties  []Difficulty   `json:"difficulties"`
	HelpLevels    []HelpLevel    `json:"help_levels"` // from least to most help
	Procedure     Procedure      `json:"procedure"`
	Checklist     []string       `json:"checklist"` // procedural fidelity, observed item by item

	// MaintenanceWeeks: after a step is met, weeks at which it is checked.
	MaintenanceWeeks []int `json:"maintenance_weeks"`

	Strands []Strand `json:"strands"`

	// These, and the fields of the other types that are left out where they are
	// empty, came later: so a document that was published before them keeps its
	// canonical bytes.
	Thinning      string `json:"thinning,omitempty"`        // how what makes it worth it becomes rarer
	Maintenance   string `json:"maintenance,omitempty"`     // how a climbed step is checked, and what if it is lost
	SessionsAWeek int    `json:"sessions_a_week,omitempty"` // planned
	Weeks         int    `json:"weeks,omitempty"`           // planned for the whole program
	// Needs names the skills that the learner has before this begins; Teaches,
	// those that it leads to. Names, so that a program can go to another clinic.
	Needs   []string      `json:"needs,omitempty"`
	Teaches []TaughtSkill `json:"teaches,omitempty"`

	// Unread is only in drafts: what was typed into a field and cannot be read
	// as what the field wants, by the name of the field (see Sheet). It is kept
	// so that nothing typed is ever lost, and it stops publishing.
	Unread map[string]string `json:"unread,omitempty"`
}

// Prerequisite is something the learner already does before this begins.
type Prerequisite struct {
	Key     string           `json:"key"`
	Text    string           `json:"text"`
	Program *newel.ProgramID `json:"program,omitempty"`
}

// Material is a thing that is needed, with its caution if it has one.
type Material struct {
	Text    string `json:"text"`
	Caution string `json:"caution"`
}

// Difficulty is something to expect, and what to do about it; Steps are the
// keys of the steps that answer it.
type Difficulty struct {
	Text   string   `json:"text"`
	Answer string   `json:"answer"`
	Steps  []string `json:"steps"`
}

// HelpLevel is one level of prompting. Touch marks levels that a learner's
// Care must allow.
type HelpLevel struct {
	Name  string `json:"name"`
	Touch bool   `json:"touch"`
}

// Procedure says how a trial goes: the cue, the wait, the help, and what
// follows each answer.
type Procedure struct {
	Say         string  `json:"say"` // exact words or the natural event
	HelpRule    string  `json:"help_rule"`
	WaitSeconds float64 `json:"wait_seconds"` // before help is given
	IfRight     string  `json:"if_right"`
	IfNotYet    string  `json:"if_not_yet"` // error correction
	IfSaysNo    string  `json:"if_says_no"`

	SayIn         Wordings      `json:"say_in,omitempty"`
	HelpProcedure HelpProcedure `json:"help_procedure,omitempty"`
	// LessHelp and MoreHelp say when the planned help goes one level down or up.
	// They are in the words of a rule for going back; right with the planned
	// help is right.
	LessHelp string `json:"less_help,omitempty"`
	MoreHelp string `json:"more_help,omitempty"`
}

// Wordings are the exact words in other languages than the program's: by
// BCP 47 tag. A cue is no matter for a machine translation, since word order
// can give the answer away.
type Wordings map[string]string

// HelpProcedure is the way in which help is given and taken back.
type HelpProcedure string

// The procedures of prompting (common practice).
const (
	LeastToMost       HelpProcedure = "least_to_most" // none first, then more until it is done
	MostToLeast       HelpProcedure = "most_to_least" // as planned from the start, less after success
	ConstantDelay     HelpProcedure = "constant_delay"
	ProgressiveDelay  HelpProcedure = "progressive_delay"
	Simultaneous      HelpProcedure = "simultaneous" // always at once; probes tell what is learnt
	GraduatedGuidance HelpProcedure = "graduated_guidance"
)

// HelpProcedures lists every procedure.
var HelpProcedures = []HelpProcedure{LeastToMost, MostToLeast, ConstantDelay, ProgressiveDelay, Simultaneous, GraduatedGuidance}

// Strand is a run of steps taught in order. A program has one, or one for
// each ActivityRole and perhaps joint ones that open later.
type Strand struct {
	Key   string       `json:"key"`
	Role  ActivityRole `json:"role"`
	Opens []Opening    `json:"opens"` // all must hold; none means open from the start
	Steps []Step       `json:"steps"`
}

// ActivityRole is the part that the learner takes in a strand; an empty name
// means that the activity has only one.
type ActivityRole struct {
	Name    string `json:"name"`
	Actions string `json:"actions"` // what that part does, in order
}

// Opening is a condition of a strand: the named step has been met.
type Opening struct {
	Strand string `json:"strand"`
	Step   string `json:"step"`
}

// Step is one stair. Its Key never changes and is never used again, so that
// graphs survive renaming and putting steps in between.
type Step struct {
	Key      string `json:"key"`
	Label    string `json:"label"` // short, as on a stairway: "U1"
	Name     string `json:"name"`
	Say      string `json:"say"`       // instead of the procedure's, if not empty
	DoneWhen string `json:"done_when"` // response definition, with what does not count
	Context  string `json:"context"`   // who, where, with what

	Targets     []Target `json:"targets"`
	Measure     Measure  `json:"measure"`
	Trials      int      `json:"trials"`  // planned in a session; 0 if not trial by trial
	Minutes     int      `json:"minutes"` // planned length of a session
	Choices     int      `json:"choices"` // how many things to choose from, 0 if not a choice
	PlannedHelp string   `json:"planned_help"`
	Order       Order    `json:"order"`

	Criterion string    `json:"criterion"` // in words; see package criterion
	StepBack  string    `json:"step_back"`
	Rules     StepRules `json:"rules"`

	AdvanceByRule bool `json:"advance_by_rule"`
	Coping        bool `json:"coping"`      // practises something hard to bear, such as losing
	FoodReward    bool `json:"food_reward"` // needs a caregiver's agreement to that food

	// Absent where they were never given, so that older versions keep their
	// canonical bytes.
	Notice  string            `json:"notice,omitempty"` // one thing to notice, shown when a session ends
	Held    bool              `json:"held,omitempty"`   // the target is shown only while held: one player alone may see it
	Picture *newel.PictureRef `json:"picture,omitempty"`

	Phase string   `json:"phase,omitempty"` // in the clinic's own words, such as those of Phases
	Fits  Fits     `json:"fits,omitzero"`
	SayIn Wordings `json:"say_in,omitempty"` // in other languages, instead of the procedure's
	// Moment says what one try is where the adult does not simply ask: for a
	// coping step one losing moment, and how it is arranged.
	Moment string `json:"moment,omitempty"`
	// Examples and NonExamples make DoneWhen plain. For a coping step they say
	// what still counts as steady, and what does not.
	Examples     []string `json:"examples,omitempty"`
	NonExamples  []string `json:"non_examples,omitempty"`
	LimitSeconds float64  `json:"limit_seconds,omitempty"` // within which the response begins; 0 for none
	WaitSeconds  *float64 `json:"wait_seconds,omitempty"`  // before help, instead of the procedure's
	// AtOnce is how many targets are taught at a time, each mastered on its own,
	// while the others wait in their order. 0: all are taught and mastered together.
	AtOnce int `json:"at_once,omitempty"`
	Tokens int `json:"tokens,omitempty"` // until they are exchanged; 0 for none
	// StartFrom is how far somebody must have come with the program to start the
	// step alone; empty: see StartsFrom.
	StartFrom newel.TrainingState `json:"start_from,omitempty"`
}

// Phases are the usual words for a step's phase. Clinics name and order them
// differently, so any other is as good.
var Phases = []string{
	"baseline", "massed trials", "massed trials with distractors", "blocks", "random rotation",
	"teaching", "generalization", "natural environment", "maintenance",
}

// Fits says what a session must be like to count for the step: with whom, where
// and with what, in words for whoever records it. How many people or places it
// takes altogether is for the criterion to say.
type Fits struct {
	People    string `json:"people,omitempty"`
	Place     string `json:"place,omitempty"`
	Materials string `json:"materials,omitempty"`
}

// StepRules sets the flags of a step's readings otherwise than by default.
// Zero values mean the default.
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

// Measure is how a session on the step is recorded.
type Measure string

// The measures. The criterion decides what is read from them.
const (
	MeasureTrials    Measure = "trials"
	MeasureCount     Measure = "count"
	MeasureDuration  Measure = "duration"
	MeasureIntervals Measure = "intervals"
)

// Measures lists every measure.
var Measures = []Measure{MeasureTrials, MeasureCount, MeasureDuration, MeasureIntervals}

// Order is the rule by which the targets of a session follow one another.
type Order struct {
	Rule       string   `json:"rule"` // massed, blocked or rotation
	Block      int      `json:"block"`
	Known      []string `json:"known"`
	KnownShare float64  `json:"known_share"` // percent of all trials
	MaxSame    int      `json:"max_same"`
}

// Program is a program of the clinic's library, without its texts.
type Program struct {
	ID        newel.ProgramID
	Title     string
	SkillArea string
	CreatedBy newel.AccountID
	CreatedAt time.Time

	Origin     string // "copy", "import" or "starter"; empty: written here
	CopiedFrom *newel.ProgramID
	ArchivedAt *time.Time
}

// Version is a published document. It never changes.
type Version struct {
	ID          newel.VersionID
	ProgramID   newel.ProgramID
	Number      int
	Document    Document
	Hash        string // of the canonical document, hex
	PublishedBy newel.AccountID
	PublishedAt time.Time
	Own         bool // cut for one learner: see Branch
	// Confirmed is what whoever published it has confirmed, in the words that
	// stood there; empty for versions from before that was asked.
	Confirmed string
}

// Step gives the strand that holds the step, and the step.
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

// Following gives the step after the one named in its strand, or nil.
func (d *Document) Following(key string) *Step { return d.neighbour(key, 1) }

// Preceding gives the step before the one named in its strand, or nil.
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

// OpenAfter reports whether the strand may be begun once these steps have
// been climbed.
func (s *Strand) OpenAfter(climbed map[string]bool) bool {
	for _, o := range s.Opens {
		if !climbed[o.Step] {
			return false
		}
	}
	return true
}

// With gives the step with a learner's own texts put over it.
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
