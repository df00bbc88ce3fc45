package criterion

// Status summarizes a reading in one word.
type Status string

// The statuses. The first one that applies is used.
const (
	StatusMet       Status = "met"
	StatusStalled   Status = "stalled"
	StatusIdle      Status = "idle"
	StatusGathering Status = "gathering" // fewer than 3 counted sessions
	StatusUnderWay  Status = "under_way"
)

// FlagKind is a reason for a supervisor to look.
type FlagKind string

// The flags, in the order in which a reading lists them.
const (
	Falling         FlagKind = "falling"
	Flat            FlagKind = "flat"
	Uneven          FlagKind = "uneven"
	Long            FlagKind = "long"
	Close           FlagKind = "close" // a single error keeps the child from the goal: no stall
	Floor           FlagKind = "floor"
	HelpBound       FlagKind = "help_bound"
	HelpStuck       FlagKind = "help_stuck"
	Guessing        FlagKind = "guessing"
	StepBack        FlagKind = "step_back"
	Idle            FlagKind = "idle"
	DiffersByPerson FlagKind = "differs_by_person"
	DiffersByPlace  FlagKind = "differs_by_place"
	Slower          FlagKind = "slower"
	OneSide         FlagKind = "one_side"
	Distress        FlagKind = "distress"
	CheckAgain      FlagKind = "check_again"
	Slipping        FlagKind = "slipping"
)

// FlagKinds lists all flags in order.
var FlagKinds = []FlagKind{
	Falling, Flat, Uneven, Long, Close, Floor, HelpBound, HelpStuck, Guessing, StepBack, Idle,
	DiffersByPerson, DiffersByPlace, Slower, OneSide, Distress, CheckAgain, Slipping,
}

// Stalls reports whether the flag makes the status stalled.
func (k FlagKind) Stalls() bool {
	switch k {
	case Falling, Flat, Uneven, Long, Floor, HelpBound, HelpStuck, Guessing, StepBack:
		return true
	}
	return false
}

// Flag is a prompt to look, with the sessions it is based on, oldest first.
type Flag struct {
	Kind     FlagKind `json:"kind"`
	Sessions []string `json:"sessions"`
}

// Why is why a session was not counted; empty for a counted one.
type Why string

// The reasons to exclude a session. The first one that applies is used.
const (
	Counted           Why = ""
	WhyVoid           Why = "void"
	WhyFuture         Why = "future"
	WhyBaseline       Why = "baseline"
	WhyMaintenance    Why = "maintenance"
	WhyOtherKind      Why = "other_kind"
	WhyNoData         Why = "no_data"
	WhyTooFewOfTrials Why = "too_few_trials"
)

// Barred is why a counted session can never qualify; empty if it can.
type Barred string

// Reasons that bar a session: a child's refusal is never averaged away.
const (
	NotBarred      Barred = ""
	BarredDistress Barred = "distress"
	BarredDeclined Barred = "declined"
)

// What is what the criterion still lacks.
type What string

// What can be lacking.
const (
	WhatSessions What = "sessions"
	WhatDays     What = "days"
	WhatPeople   What = "people"
	WhatPlaces   What = "places"
	WhatHomes    What = "homes"
)

// Run is how many of how many needed there are.
type Run struct {
	Have int `json:"have"`
	Need int `json:"need"`
}

// Progress compares the newest third of the latest sessions (at most 18) with
// the oldest third. Sessions between the thirds are in neither.
type Progress struct {
	Sessions int `json:"sessions"` // compared and between
	Third    int `json:"third"`    // sessions in each third
	// Oldest and Newest are the means of the thirds in the measure's unit, with
	// trials correct with no more than the planned help counted as correct; nil
	// for a mean over the limit.
	Oldest *float64 `json:"oldest"`
	Newest *float64 `json:"newest"`
}

// Lacking is something that is still missing.
type Lacking struct {
	What What `json:"what"`
	Have int  `json:"have"`
	Need int  `json:"need"`
}

// SessionReading is the result for one session.
type SessionReading struct {
	ID      string `json:"id"`
	Counted bool   `json:"counted"`
	Why     Why    `json:"why"`
	// Value in the measure's unit (percent, per minute, seconds, errors),
	// rounded to a float only here; nil if there is none or it is over the
	// limit.
	Value     *float64 `json:"value"`
	Over      bool     `json:"over"`
	Qualifies bool     `json:"qualifies"`
	Barred    Barred   `json:"barred"`
}

// Estimate is the accuracy over the last sessions combined, in percent, with
// the Wilson 95 % interval.
type Estimate struct {
	Correct int     `json:"correct"`
	Trials  int     `json:"trials"`
	Percent float64 `json:"percent"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	// Session is the probability, to 1e-6, that one session meets the goal at
	// this accuracy: with as many trials as the median of the 5 sessions,
	// averaged over Beta(Correct + ½, Trials − Correct + ½). nil before there
	// are 5.
	Session *float64 `json:"session"`
}

// Forecast answers what follows if the accuracy of the last five sessions stays
// exactly as it is, for the command line. No page shows it: at a session where
// it would help, a child about to rise and one who is not have the same record.
//
// It is the probability of meeting the window within a number of further
// sessions, and the smallest number with at least an even chance (nil beyond
// 60).
type Forecast struct {
	Sessions     int     `json:"sessions"`
	Probability  float64 `json:"probability"`
	EvenChanceIn *int    `json:"even_chance_in"`
}

// Reading is the evaluation of a placement's sessions.
type Reading struct {
	Status    Status           `json:"status"`
	MetBy     *string          `json:"met_by"`    // id of the session at which it was met
	Criterion string           `json:"criterion"` // in its canonical words
	Run       Run              `json:"run"`
	Lacking   []Lacking        `json:"lacking"`
	Flags     []Flag           `json:"flags"`
	Sessions  []SessionReading `json:"sessions"`
	Estimate  *Estimate        `json:"estimate"`
	Forecast  *Forecast        `json:"forecast"`
	// IdleFrom is the first local date on which Idle would be raised if nothing
	// more is recorded.
	IdleFrom *Date `json:"idle_from"`
	// Progress is nil once met, and while there are too few sessions: 14, or 12
	// with 90 scored trials or with a measure that is not based on trials.
	Progress *Progress `json:"progress"`
	// Evidence is nil until met, and for criteria other than a single goal on
	// accuracy or first trials.
	Evidence *Evidence `json:"evidence"`
	// Totals is nil for criteria other than accuracy, and with each target.
	Totals *Totals `json:"totals"`
	// Targets are those of a step whose targets are mastered individually, in
	// order (see EvaluateEach); nil for any other step.
	Targets []TargetReading `json:"targets,omitempty"`
}

// Flag returns the flag of a kind and whether it was raised.
func (r *Reading) Flag(kind FlagKind) (f Flag, raised bool) {
	for _, f := range r.Flags {
		if f.Kind == kind {
			return f, true
		}
	}
	return Flag{}, false
}
