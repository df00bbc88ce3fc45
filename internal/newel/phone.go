package newel

import (
	"time"

	"github.com/google/uuid"
)

// The media type of a PhoneDay, the request headers of a phone, and the header of
// the response if its day is unchanged.
const (
	UnsentHeader  = "Newel-Unsent" // ids that the server has not confirmed, or NothingUnsent
	ToldHeader    = "Newel-Told"   // ids whose loss the person has been told about
	NothingUnsent = "none"
	AsOfHeader    = "Newel-As-Of" // when a day was the same as the one that the phone has (RFC 3339)
)

// MaxUnsent is the maximum number of ids in one request.
const MaxUnsent = 100

// PendingKind is a kind of item that a family has yet to see or answer.
type PendingKind string

// What can be pending on a family's Today page.
const (
	PendingQuestion PendingKind = "question" // from the clinic, not answered
	PendingAction   PendingKind = "action"   // agreed, assigned to the family and open
	PendingMessage  PendingKind = "message"  // from the clinic, unread
	PendingReview   PendingKind = "review"   // in progress
)

// PendingItem is one item that is pending for a family.
type PendingItem struct {
	Kind PendingKind
	ID   uuid.UUID
}

// SealKey is a P-256 public key as a JSON Web Key (RFC 7517; RFC 7518, 6.2).
type SealKey struct {
	KeyID string `json:"kid"`
	Type  string `json:"kty"`
	Curve string `json:"crv"`
	X     string `json:"x"` // base64url
	Y     string `json:"y"`
}

// PhoneAccount is one of the people who use a phone.
type PhoneAccount struct {
	Account  AccountID `json:"account"`
	Initials string    `json:"initials"` // the adult's initials
	Current  bool      `json:"current"`
	PINSet   bool      `json:"pin_set"`
	WaitS    int       `json:"wait_s"` // seconds until a PIN may be tried again
}

// PhoneAccounts lists who may use a phone.
type PhoneAccounts struct {
	Accounts []PhoneAccount `json:"accounts"`
}

// Talk is what someone in the family says about a child's no.
type Talk struct {
	ID         TalkID
	FamilyID   FamilyID
	Assignment AssignmentID
	MadeBy     AccountID
	MadeByName string // empty if unknown
	Line       string // in their words; empty for "we talked about it"
	TalkedAt   time.Time
	Rests      bool // the program was paused when it arrived
	// Lifted reports whether it ended the pause, or found none. Talks did until
	// December 2026.
	Lifted bool
}

// LastNo is the latest no of a child in a program.
type LastNo struct {
	At     *time.Time   // when its session ended; nil if there is none
	Newest *RecordingID // of the session with a no that arrived last, which may be another
}

// Mark identifies what is known of the child's nos: it changes when another
// arrives. It is empty if there is none.
func (n LastNo) Mark() string {
	if n.Newest == nil {
		return ""
	}
	return n.Newest.String()
}

// Said is a talk as lists show it.
type Said struct {
	Line string    `json:"line"` // empty for "we talked about it"
	By   string    `json:"by"`   // empty if unknown
	At   time.Time `json:"at"`
}

// Lifted is what was agreed when the clinic lifted the pause after a child's no.
type Lifted struct {
	Line     string    `json:"line"`
	By       string    `json:"by"` // who lifted it
	AgreedOn Day       `json:"agreed_on"`
	At       time.Time `json:"at"` // when it was lifted
}

// HaveRead is the response to "I have read this".
type HaveRead struct {
	ID         TrainingID   `json:"id"`
	Assignment AssignmentID `json:"assignment"`
}

// Talked is the response to a Talk.
type Talked struct {
	ID         TalkID       `json:"id"`
	Assignment AssignmentID `json:"assignment"`
	Rests      bool         `json:"rests"` // the program was paused when it arrived
}
