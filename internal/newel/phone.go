package newel

import (
	"time"

	"github.com/google/uuid"
)

// The media type of a PhoneDay, and the headers with which a phone asks.
const (
	UnsentHeader = "Newel-Unsent" // ids that the server has not confirmed, or NoneUnsent
	ToldHeader   = "Newel-Told"   // ids whose loss the person knows of
	NoneUnsent   = "none"
)

// MostUnsent is how many ids one request names at most.
const MostUnsent = 100

// WaitKind is what it is that waits for a family.
type WaitKind string

// What can wait for a family on its Today.
const (
	WaitQuestion WaitKind = "question" // of the clinic, not answered
	WaitAction   WaitKind = "action"   // agreed, the family's and still to do
	WaitMessage  WaitKind = "message"  // of the clinic, not read
	WaitReview   WaitKind = "review"   // goes on
)

// FamilyWait is one thing that waits for a family.
type FamilyWait struct {
	Kind WaitKind
	ID   uuid.UUID
}

// SealKey is a public key on P-256 as a JSON Web Key (RFC 7517; RFC 7518,
// 6.2).
type SealKey struct {
	KeyID string `json:"kid"`
	Type  string `json:"kty"`
	Curve string `json:"crv"`
	X     string `json:"x"` // base64url
	Y     string `json:"y"`
}

// PhoneAccount is one of the people whom a phone knows.
type PhoneAccount struct {
	Account  AccountID `json:"account"`
	Initials string    `json:"initials"` // of the adult
	Current  bool      `json:"current"`
	PINSet   bool      `json:"pin_set"`
	WaitS    int       `json:"wait_s"` // seconds until a PIN may be tried again
}

// PhoneAccounts is the answer to who may use a phone.
type PhoneAccounts struct {
	Accounts []PhoneAccount `json:"accounts"`
}

// Talk is one "we talked about it".
type Talk struct {
	ID         TalkID
	FamilyID   FamilyID
	Assignment AssignmentID
	MadeBy     AccountID
	TalkedAt   time.Time
	Rests      bool // a no came after it: the program rests all the same
}

// HaveRead is the answer to "I have read this".
type HaveRead struct {
	ID         TrainingID   `json:"id"`
	Assignment AssignmentID `json:"assignment"`
}

// Talked is the answer to a talk.
type Talked struct {
	ID         TalkID       `json:"id"`
	Assignment AssignmentID `json:"assignment"`
	Rests      bool         `json:"rests"`
}
