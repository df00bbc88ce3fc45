package recording

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"newel/internal/newel"
)

// Receipt confirms that the server has stored what was sent. The phone accepts
// nothing else: a 200 with some other body proves nothing.
type Receipt struct {
	Contract    int               `json:"contract"`
	ID          newel.RecordingID `json:"id"`
	SHA256      string            `json:"sha256"`       // of the body sent, in hex
	SafeThrough int               `json:"safe_through"` // trials 1 through this have arrived
	Closed      bool              `json:"closed"`
	StoredAt    time.Time         `json:"stored_at"` // UTC, to the millisecond
	// Quarantined: stored, but counted only if a person accepts it.
	Quarantined bool `json:"quarantined,omitempty"`
}

// MakeReceipt returns the receipt for a body of a contract version that has been
// merged into s and committed at storedAt. Call it only after the commit has
// returned.
func MakeReceipt(s State, contract int, body []byte, storedAt time.Time) Receipt {
	return Receipt{
		Contract:    contract,
		ID:          s.ID(),
		SHA256:      Sum(body),
		SafeThrough: s.SafeThrough(),
		Closed:      s.Closed(),
		StoredAt:    storedAt.UTC().Truncate(time.Millisecond),
	}
}

// Sum returns the SHA-256 of a body in hex, which identifies bodies that the
// server has seen before.
func Sum(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}
