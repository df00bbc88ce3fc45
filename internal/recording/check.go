package recording

import "newel/internal/newel"

// ReceiptsMediaType is that of Receipts.
const ReceiptsMediaType = "application/vnd.newel.receipts+json"

// MaxChecked is how many recordings one request asks about again.
const MaxChecked = 50

// Receipts is the answer to a phone that asks again what is kept, before it
// deletes its copies.
type Receipts struct {
	Contract int       `json:"contract"`
	Receipts []Checked `json:"receipts"` // in the order asked
}

// Checked says what the server has of one recording.
type Checked struct {
	ID          newel.RecordingID `json:"id"`
	Known       bool              `json:"known"`  // something of it, from this account
	Stored      bool              `json:"stored"` // the very body asked about
	SHA256      string            `json:"sha256"` // of the body that arrived last; empty if none
	Closed      bool              `json:"closed"`
	Quarantined bool              `json:"quarantined"`
	Gone        bool              `json:"gone"` // erased
}

// RescueContract is the version of the form of Rescue.
const RescueContract = 1

// MaxRescue bounds a rescue file in bytes.
const MaxRescue = 8 << 20

// Outcomes of one item of a rescue file.
const (
	RescueStored      = "stored"
	RescueQuarantined = "quarantined"
	RescueGone        = "gone"
	RescueAnother     = "another"
	RescueUnreadable  = "unreadable"
	RescueBusy        = "busy"
)

// Rescue is a file of sealed recordings that a phone wrote because it could
// not send them.
type Rescue struct {
	Contract int      `json:"contract"`
	Sealed   []Sealed `json:"sealed"`
}

// Rescued says what became of each item of a rescue file.
type Rescued struct {
	Contract int           `json:"contract"`
	Items    []RescuedItem `json:"items"`
}

// RescuedItem is one of them.
type RescuedItem struct {
	ID      string   `json:"id"`
	Outcome string   `json:"outcome"`
	Text    string   `json:"text"` // for people
	Receipt *Receipt `json:"receipt,omitempty"`
}
