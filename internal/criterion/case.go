package criterion

import (
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
)

// Trial is one chance to respond.
type Trial = measure.Trial

// Kind is what a session was for.
type Kind string

// The kinds of sessions; an empty kind is Teaching.
const (
	Teaching    Kind = "teaching"
	Probe       Kind = "probe"
	Baseline    Kind = "baseline"
	Maintenance Kind = "maintenance"
)

// EndedEarly is why a session ended before its plan.
type EndedEarly string

// Why a session ended early.
const (
	NotEarly       EndedEarly = ""
	EarlyDistress  EndedEarly = "distress"
	EarlyForOthers EndedEarly = "other"
)

// Session is one session as it was recorded. Times are those the server stands
// behind, so that a phone with a wrong clock cannot spoil a reading.
type Session struct {
	ID        string    `json:"id"`
	StartedAt time.Time `json:"started_at"`
	EndedAt   time.Time `json:"ended_at"`
	// LocalDate is the date it counts for; without one, that of StartedAt in
	// the case's zone.
	LocalDate Date   `json:"local_date,omitzero"`
	By        string `json:"by,omitempty"` // who taught
	Place     string `json:"place,omitempty"`
	Kind      Kind   `json:"kind,omitempty"`
	// PlannedHelp is the help planned for the session; empty for none.
	PlannedHelp string     `json:"planned_help,omitempty"`
	Void        bool       `json:"void,omitempty"`
	EndedEarly  EndedEarly `json:"ended_early,omitempty"`

	// Which of these gives the value depends on the criterion's measure.
	Trials     []Trial     `json:"trials,omitempty"`
	Count      *int64      `json:"count,omitempty"`
	ObservedS  *exact.Rat  `json:"observed_s,omitempty"`
	DurationsS []exact.Rat `json:"durations_s,omitzero"` // empty is not the same as nil
	Intervals  []bool      `json:"intervals,omitempty"`
}

// Pause is a stretch of local dates, both inclusive, on which no sessions are
// expected.
type Pause struct {
	From Date `json:"from"`
	To   Date `json:"to"`
}

// Rules adjusts the rules for flags; nil fields are at their defaults.
type Rules struct {
	Off          []FlagKind `json:"off,omitempty"`  // flags not to be raised
	Long         *int       `json:"long,omitempty"` // sessions, 8–1000
	FloorPercent *exact.Rat `json:"floor_percent,omitempty"`
	IdleDays     *int       `json:"idle_days,omitempty"` // 1–1000
}

// The defaults of Rules.
const (
	DefaultLong         = 20
	DefaultFloorPercent = 30
	DefaultIdleDays     = 7
)

// Case is everything a reading depends on.
type Case struct {
	AsOf       time.Time `json:"as_of"`               // the moment of judgement
	TimeZone   string    `json:"time_zone"`           // IANA name
	StartedOn  Date      `json:"started_on,omitzero"` // when the placement began
	Criterion  string    `json:"criterion"`
	StepBack   string    `json:"step_back,omitempty"`
	HelpLevels []string  `json:"help_levels,omitempty"` // from least to most help
	Targets    []string  `json:"targets,omitempty"`
	Pauses     []Pause   `json:"pauses,omitempty"`
	Rules      Rules     `json:"rules,omitzero"`
	// Sessions in any order. Written as JSON, none must be an empty list, not nil.
	Sessions []Session `json:"sessions"`
}
