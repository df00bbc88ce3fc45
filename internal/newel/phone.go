package newel

import (
	"time"

	"github.com/google/uuid"
)

// The media type of a PhoneDay, and the request headers of a phone.
const (
	UnsentHeader  = "Newel-Unsent" // ids that the server has not confirmed, or NothingUnsent
	ToldHeader    = "Newel-Told"   // ids whose loss the person has been told about
	NothingUnsent = "none"
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

// Talk records that "we talked about it".
type Talk struct {
	ID         TalkID
	FamilyID   FamilyID
	Assignment AssignmentID
	MadeBy     AccountID
	TalkedAt   time.Time
	Rests      bool // the child refused again afterward: the program is still paused
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
	Rests      bool         `json:"rests"`
}
