package recording

import "newel/internal/newel"

// ReceiptsMediaType is the media type of Receipts.
const ReceiptsMediaType = "application/vnd.newel.receipts+json"

// MaxChecked is the maximum number of recordings in one check request.
const MaxChecked = 50

// Receipts answers a phone that checks what the server has stored before it
// deletes its copies.
type Receipts struct {
	Contract int       `json:"contract"`
	Receipts []Checked `json:"receipts"` // in the order asked
}

// Checked is what the server has of one recording.
type Checked struct {
	ID          newel.RecordingID `json:"id"`
	Known       bool              `json:"known"`  // the server has something of it from this account
	Stored      bool              `json:"stored"` // the server has exactly the body asked about
	SHA256      string            `json:"sha256"` // of the latest body received; empty if none
	Closed      bool              `json:"closed"`
	Quarantined bool              `json:"quarantined"`
	Gone        bool              `json:"gone"` // erased
}

// RescueContract is the version of the Rescue format.
const RescueContract = 1

// MaxRescue is the maximum size of a rescue file in bytes.
const MaxRescue = 8 << 20

// Outcomes for an item of a rescue file.
const (
	RescueStored      = "stored"
	RescueQuarantined = "quarantined"
	RescueGone        = "gone"
	RescueAnother     = "another"
	RescueUnreadable  = "unreadable"
	RescueBusy        = "busy"
)

// Rescue is a file of sealed recordings that a phone exported because it could
// not send them.
type Rescue struct {
	Contract int      `json:"contract"`
	Sealed   []Sealed `json:"sealed"`
}

// Rescued reports the outcome for each item of a rescue file.
type Rescued struct {
	Contract int           `json:"contract"`
	Items    []RescuedItem `json:"items"`
}

// RescuedItem is the outcome for one item.
type RescuedItem struct {
	ID      string   `json:"id"`
	Outcome string   `json:"outcome"`
	Text    string   `json:"text"` // for people
	Receipt *Receipt `json:"receipt,omitempty"`
}
