package recording

import (
	"encoding/json"
	"slices"
	"time"

	"newel/internal/measure"
	"newel/internal/newel"
)

// Contract is the newest contract version that this server supports, and the
// one that phones of this version write. It also accepts documents of every
// version before.
const Contract = 2

// Media types of the contract.
const (
	MediaType        = "application/vnd.newel.recording+json"
	ReceiptMediaType = "application/vnd.newel.receipt+json"
)

// Limits of the contract. They are far above what a session needs (5 to 30
// trials are usual: common practice) and keep one faulty phone from exhausting
// the server's storage.
const (
	MaxBody      = 256 << 10    // bytes of a body
	MaxTrials    = 500          // trials of a recording
	MaxRev       = 9999         // revisions of one answer or field
	MaxOffset    = 31 * 86400e3 // ms from the start; allows for a recording left open for a month
	MaxText      = 200          // characters of a place, target or help level
	MaxPresent   = 20           // people present
	MaxMeasured  = 2000         // durations or intervals
	MaxCount     = 100_000      // events counted
	MaxChoices   = 100          // choices offered
	maxKitText   = 64           // characters of a kit's or a device's name
	MaxExpected  = 5            // expectations of one trial
	maxLatencyMS = 86_400_000   // a day
)

// Kind is the purpose of a session.
type Kind string

// The kinds of session.
const (
	Teaching    Kind = "teaching"
	Probe       Kind = "probe"
	Baseline    Kind = "baseline"
	Maintenance Kind = "maintenance"
)

// About is roughly when a session took place that was entered afterward: a part
// of the day, or a time such as 17:30.
type About string

// The parts of the day.
const (
	Morning   About = "morning"
	Midday    About = "midday"
	Afternoon About = "afternoon"
	Evening   About = "evening"
)

// CountClock is whether a clock ran while events were counted. Without one there
// may be no rate.
type CountClock string

// Whether a clock ran.
const (
	ClockUsed CountClock = "used"
	ClockNone CountClock = "none"
)

// How is when answers were entered: during the session or afterward.
type How string

// When answers were entered.
const (
	Live       How = "live"
	Afterwards How = "afterwards"
)

// Ending is why a session ended early; empty if it did not.
type Ending string

// The reasons for ending early.
const (
	EndedInTime   Ending = ""
	EndedDistress Ending = "distress"
	EndedOther    Ending = "other"
)

// DeviceTime is a moment by the phone's clock, as the phone wrote it: RFC 3339
// with offset, to the millisecond at most. It is stored as text because the
// phone's clock reading is evidence and must not change.
type DeviceTime string

// Time returns the moment as a time.Time, taking the phone's clock at face
// value.
func (d DeviceTime) Time() time.Time {
	t, err := time.Parse(time.RFC3339, string(d))
	if err != nil {
		return time.Time{} // only for a DeviceTime that Decode has not checked
	}
	return t
}

// Kit identifies the set of instructions that the phone had while recording.
type Kit struct {
	ID   string `json:"id"`
	Hash string `json:"hash"` // SHA-256 in hex
}

// Origin holds what is fixed when a recording begins.
type Origin struct {
	Placement newel.PlacementID `json:"placement"`
	Author    newel.AccountID   `json:"author"` // whose phone it was recorded on
	Kit       Kit               `json:"kit"`
	Device    string            `json:"device"`
	StartedAt DeviceTime        `json:"started_at"`
}

// Answer is what the caregiver tapped for one trial.
type Answer struct {
	Target    string          `json:"target,omitempty"`
	Outcome   measure.Outcome `json:"outcome"`
	Help      string          `json:"help,omitempty"`       // help level, empty for independent
	LatencyMS *int64          `json:"latency_ms,omitempty"` // time to the response
	None      bool            `json:"none,omitempty"`       // no response within the limit
	Choices   int             `json:"choices,omitempty"`    // number of choices offered; 0 unknown
	Position  int             `json:"position,omitempty"`   // position chosen, from 1; 0 unknown

	// Contract version 2 begins here.

	RecoveryMS   *int64 `json:"recovery_ms,omitempty"`   // time until the learner was steady again
	RecoveryNone bool   `json:"recovery_none,omitempty"` // not steady again within the limit
	// Adjusted: a person changed the seconds before they were stored.
	Adjusted bool `json:"adjusted,omitempty"`
	// Expected holds the outcome of each expectation, if the trial has several;
	// Outcome and Help follow from them, see Combined.
	Expected []Expected `json:"expected,omitempty"`
}

// Expected is the outcome of one of a trial's expectations.
type Expected struct {
	Key     string          `json:"key"`
	Outcome measure.Outcome `json:"outcome"`        // correct, incorrect or no_chance
	Help    string          `json:"help,omitempty"` // help level, empty for independent
}

// Corrected returns the answer with another outcome and help. What was asked
// stays, and so do the seconds, unless the new outcome has none. The outcomes of
// expectations go: they belong to the old answer.
func (a Answer) Corrected(outcome measure.Outcome, help string) Answer {
	out := Answer{Target: a.Target, Outcome: outcome, Help: help, Choices: a.Choices, Position: a.Position}
	switch outcome {
	case measure.Correct, measure.Incorrect:
		out.LatencyMS, out.RecoveryMS, out.RecoveryNone, out.Adjusted = a.LatencyMS, a.RecoveryMS, a.RecoveryNone, a.Adjusted
	case measure.NoResponse:
		out.RecoveryMS, out.RecoveryNone, out.Adjusted = a.RecoveryMS, a.RecoveryNone, a.Adjusted
	}
	return out
}

// Combined reports whether an outcome follows from the expectations: incorrect
// if any of them is, otherwise correct if any is, otherwise no chance. A trial
// that is correct has the help of one of them; which of two levels is more help
// is decided by the program, not by the document.
func (a Answer) Combined() bool {
	outcome := measure.NoChance
	for _, e := range a.Expected {
		switch {
		case e.Outcome == measure.Incorrect:
			outcome = measure.Incorrect
		case e.Outcome == measure.Correct && outcome == measure.NoChance:
			outcome = measure.Correct
		}
	}
	if a.Outcome != outcome {
		return false
	}
	helped := func(e Expected) bool { return e.Outcome == measure.Correct && e.Help != "" }
	if outcome != measure.Correct || !slices.ContainsFunc(a.Expected, helped) {
		return a.Help == ""
	}
	return slices.ContainsFunc(a.Expected, func(e Expected) bool { return helped(e) && e.Help == a.Help })
}

// Trial is one revision of one trial. A correction keeps N and raises Rev; an
// undo is a revision that voids.
type Trial struct {
	N      int     `json:"n"`
	Rev    int     `json:"rev"`
	AtMS   int64   `json:"at_ms"` // ms from the start to the tap
	Answer *Answer `json:"answer,omitempty"`
	Void   bool    `json:"void,omitempty"`
}

// Closing ends a recording. The document that contains it is complete: it has
// every trial from 1 to Last.
type Closing struct {
	Last    int        `json:"last"`
	EndMS   int64      `json:"end_ms"`   // from the start, monotonic clock
	EndedAt DeviceTime `json:"ended_at"` // wall clock at the same moment
}

// Document is one recording as a phone sends it. Documents returned by Decode
// are valid.
type Document struct {
	Contract int               `json:"contract"`
	ID       newel.RecordingID `json:"id"`
	Origin
	Header  Header   `json:"header"`
	Trials  []Trial  `json:"trials"` // ascending N, one revision each
	Closing *Closing `json:"closing,omitempty"`
}

// Encode returns the document in its canonical form.
func (d Document) Encode() []byte { return []byte(canonical(d)) }

var _ json.Marshaler = Header{}
