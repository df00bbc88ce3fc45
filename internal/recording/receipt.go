package recording

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"newel/internal/newel"
)

// Receipt is the server's word that what was sent is kept. A phone believes
// nothing else: a status of 200 with some other body proves nothing.
type Receipt struct {
	Contract    int               `json:"contract"`
	ID          newel.RecordingID `json:"id"`
	SHA256      string            `json:"sha256"`       // of the body sent, in hex
	SafeThrough int               `json:"safe_through"` // trials 1 to this have arrived
	Closed      bool              `json:"closed"`
	StoredAt    time.Time         `json:"stored_at"` // UTC, to the millisecond
	// Quarantined: kept, and counted only if a person takes it in.
	Quarantined bool `json:"quarantined,omitempty"`
}

// MakeReceipt writes the receipt for a body that has been merged into s and
// committed at storedAt. To be called only after the commit has returned.
func MakeReceipt(s State, body []byte, storedAt time.Time) Receipt {
	return Receipt{
		Contract:    Contract,
		ID:          s.ID(),
		SHA256:      Sum(body),
		SafeThrough: s.SafeThrough(),
		Closed:      s.Closed(),
		StoredAt:    storedAt.UTC().Truncate(time.Millisecond),
	}
}

// Sum is the SHA-256 of a body in hex, by which the server knows that it has
// seen exactly this before.
func Sum(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}
