package recording

import (
	"encoding/json"
	"time"

	"newel/internal/measure"
	"newel/internal/newel"
)

// Contract is the version of the contract that this server speaks.
const Contract = 1

// The media types of the contract.
const (
	MediaType        = "application/vnd.newel.recording+json"
	ReceiptMediaType = "application/vnd.newel.receipt+json"
)

// Limits of the contract. They are far above what a session needs (5 to 30
// trials are usual: common practice) and keep one bad phone from filling the
// house.
const (
	MaxBody      = 256 << 10    // bytes of a body
	MaxTrials    = 500          // trials of a recording
	MaxRev       = 9999         // revisions of one answer or field
	MaxOffset    = 31 * 86400e3 // ms from the start; a recording forgotten open for a month
	MaxText      = 200          // characters of a place, target or help level
	MaxPresent   = 20           // people present
	MaxMeasured  = 2000         // durations or intervals
	MaxCount     = 100_000      // events counted
	MaxChoices   = 100          // things to choose from
	maxKitText   = 64           // characters of a kit's or a device's name
	maxLatencyMS = 86_400_000   // a day
)

// Kind says what a session was for.
type Kind string

// The kinds of session.
const (
	Teaching    Kind = "teaching"
	Probe       Kind = "probe"
	Baseline    Kind = "baseline"
	Maintenance Kind = "maintenance"
)

// How says whether answers were tapped along or entered later.
type How string

// The ways of recording.
const (
	Live       How = "live"
	Afterwards How = "afterwards"
)

// Ending says why a session ended before its time; empty if it did not.
type Ending string

// The early endings.
const (
	EndedInTime   Ending = ""
	EndedDistress Ending = "distress"
	EndedOther    Ending = "other"
)

// Condition is something that a step asks of a session that shall count.
type Condition string

// The conditions.
const (
	FitsPeople    Condition = "people"
	FitsPlace     Condition = "place"
	FitsMaterials Condition = "materials"
)

// Conditions lists every condition.
var Conditions = []Condition{FitsPeople, FitsPlace, FitsMaterials}

// DeviceTime is a moment by the phone's own clock, as the phone wrote it: RFC
// 3339 with offset, to the millisecond at most. It is kept as text, because
// what a clock said is evidence and must not change on its way through.
type DeviceTime string

// Time is the moment meant, if the phone's clock was right.
func (d DeviceTime) Time() time.Time {
	t, err := time.Parse(time.RFC3339, string(d))
	if err != nil {
		return time.Time{} // only for a DeviceTime that was never decoded
	}
	return t
}

// Kit names the package of instructions that the phone held while recording.
type Kit struct {
	ID   string `json:"id"`
	Hash string `json:"hash"` // SHA-256 in hex
}

// Origin is what is fixed when a recording begins.
type Origin struct {
	Placement newel.PlacementID `json:"placement"`
	Author    newel.AccountID   `json:"author"` // whose phone it was recorded on
	Kit       Kit               `json:"kit"`
	Device    string            `json:"device"`
	StartedAt DeviceTime        `json:"started_at"`
}

// Answer is what was tapped for one trial.
type Answer struct {
	Target    string          `json:"target,omitempty"`
	Outcome   measure.Outcome `json:"outcome"`
	Help      string          `json:"help,omitempty"`       // help level, empty for alone
	LatencyMS *int64          `json:"latency_ms,omitempty"` // time to the response
	None      bool            `json:"none,omitempty"`       // no response within the limit
	Choices   int             `json:"choices,omitempty"`    // how many to choose from; 0 unknown
	Position  int             `json:"position,omitempty"`   // which place was chosen, from 1; 0 unknown
}

// Trial is one trial in one revision. A correction keeps N and raises Rev;
// undo is a revision that voids.
type Trial struct {
	N      int     `json:"n"`
	Rev    int     `json:"rev"`
	AtMS   int64   `json:"at_ms"` // when it was tapped, from the start
	Answer *Answer `json:"answer,omitempty"`
	Void   bool    `json:"void,omitempty"`
}

// Closing ends a recording. The document that carries it is complete in
// itself: it has every trial from 1 to Last.
type Closing struct {
	Last    int        `json:"last"`
	EndMS   int64      `json:"end_ms"`   // from the start, monotonic clock
	EndedAt DeviceTime `json:"ended_at"` // wall clock at the same moment
}

// Document is one recording as a phone sends it. Decode makes valid ones.
type Document struct {
	Contract int               `json:"contract"`
	ID       newel.RecordingID `json:"id"`
	Origin
	Header  Header   `json:"header"`
	Trials  []Trial  `json:"trials"` // ascending N, one revision each
	Closing *Closing `json:"closing,omitempty"`
}

// Encode writes the document in its canonical spelling.
func (d Document) Encode() []byte { return []byte(canonical(d)) }

var _ json.Marshaler = Header{}
