package criterion

import (
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
)

// Trial is one opportunity to respond.
type Trial = measure.Trial

// Kind is the purpose of a session.
type Kind string

// The kinds of sessions; an empty kind is Teaching.
const (
	Teaching    Kind = "teaching"
	Probe       Kind = "probe"
	Baseline    Kind = "baseline"
	Maintenance Kind = "maintenance"
)

// PlaceSortHome is the sort of a place that is one of the learner's homes.
const PlaceSortHome = "home"

// EndedEarly is why a session ended before its plan.
type EndedEarly string

// Why a session ended early.
const (
	NotEarly       EndedEarly = ""
	EarlyDistress  EndedEarly = "distress"
	EarlyForOthers EndedEarly = "other"
)

// Session is one recorded session. Times are those the server vouches for, so
// that a phone with a wrong clock cannot distort the result.
type Session struct {
	ID        string    `json:"id"`
	StartedAt time.Time `json:"started_at"`
	EndedAt   time.Time `json:"ended_at"`
	// LocalDate is the date the session counts for; if unset, the date of
	// StartedAt in the case's time zone.
	LocalDate Date   `json:"local_date,omitzero"`
	By        string `json:"by,omitempty"` // who taught
	Place     string `json:"place,omitempty"`
	// PlaceSort is what sort of place it was, such as PlaceSortHome; empty if
	// unknown.
	PlaceSort string `json:"place_sort,omitempty"`
	Kind      Kind   `json:"kind,omitempty"`
	// PlannedHelp is the planned prompt level; empty for none.
	PlannedHelp string     `json:"planned_help,omitempty"`
	Void        bool       `json:"void,omitempty"`
	EndedEarly  EndedEarly `json:"ended_early,omitempty"`
	// Afterwards: it was written down afterward, from memory.
	Afterwards bool `json:"afterwards,omitempty"`

	// The criterion's measure determines which of these provides the value.
	Trials     []Trial     `json:"trials,omitempty"`
	Count      *int64      `json:"count,omitempty"`
	ObservedS  *exact.Rat  `json:"observed_s,omitempty"`
	DurationsS []exact.Rat `json:"durations_s,omitzero"` // empty differs from nil
	Intervals  []bool      `json:"intervals,omitempty"`
}

// Pause is a range of local dates, both inclusive, in which no sessions are
// expected.
type Pause struct {
	From Date `json:"from"`
	To   Date `json:"to"`
}

// Rules adjusts the rules for flags; nil fields have their defaults.
type Rules struct {
	Off          []FlagKind `json:"off,omitempty"`  // flags that are switched off
	Long         *int       `json:"long,omitempty"` // sessions, 8–1000
	FloorPercent *exact.Rat `json:"floor_percent,omitempty"`
	IdleDays     *int       `json:"idle_days,omitempty"` // 1–1000
}

// Defaults of Rules.
const (
	DefaultLong         = 20
	DefaultFloorPercent = 30
	DefaultIdleDays     = 7
)

// Case holds everything that a reading depends on.
type Case struct {
	AsOf       time.Time `json:"as_of"`               // the time of evaluation
	TimeZone   string    `json:"time_zone"`           // IANA name
	StartedOn  Date      `json:"started_on,omitzero"` // when the placement began
	Criterion  string    `json:"criterion"`
	StepBack   string    `json:"step_back,omitempty"`
	HelpLevels []string  `json:"help_levels,omitempty"` // from least to most help
	Targets    []string  `json:"targets,omitempty"`
	Pauses     []Pause   `json:"pauses,omitempty"`
	Rules      Rules     `json:"rules,omitzero"`
	// Sessions in any order. For JSON output, use an empty list rather than nil
	// if there are none.
	Sessions []Session `json:"sessions"`
}
