package newel

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"time"

	"github.com/google/uuid"
)

// DayContract is the version of the form of PhoneDay.
const DayContract = 1

// The media type of a PhoneDay, and the headers with which a phone asks.
const (
	DayMediaType = "application/vnd.newel.day+json"
	UnsentHeader = "Newel-Unsent" // ids that the server has not confirmed, or NoneUnsent
	ToldHeader   = "Newel-Told"   // ids whose loss the person knows of
	NoneUnsent   = "none"
)

// MostUnsent is how many ids one request names at most.
const MostUnsent = 100

// PhoneDay is what a caregiver's phone needs until it is online again. It
// names children by nickname only.
type PhoneDay struct {
	Contract int          `json:"contract"`
	AsOf     time.Time    `json:"as_of"`
	Today    Day          `json:"today"` // in the zone of the family
	Account  AccountID    `json:"account"`
	Name     string       `json:"name"`
	Device   string       `json:"device"` // empty for a password sign-in
	Learners []DayLearner `json:"learners"`
	Kits     []DayKit     `json:"kits"` // of every placement named
	SealKey  SealKey      `json:"seal_key"`
	PINSet   bool         `json:"pin_set"`
	// Questions: how many of the clinic's questions wait for an answer.
	Questions int `json:"questions"`
	// Agreed: how much of what was agreed in reviews is the family's and still
	// to do.
	Agreed int `json:"agreed"`
	// Messages: how many of the clinic's messages nobody of the family has read.
	Messages int `json:"messages"`
	// Review is the review that goes on; empty: none does.
	Review string `json:"review"`
	// Lost: recordings that the phone once held and that are neither there
	// nor here any more.
	Lost []RecordingID `json:"lost"`
}

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

// DayLearner is one learner's day.
type DayLearner struct {
	ID        LearnerID  `json:"id"`
	Nickname  string     `json:"nickname"`
	StopSigns string     `json:"stop_signs"`
	Alerts    Alerts     `json:"alerts"`
	Next      *DayOffer  `json:"next"` // nil: nothing to do
	Others    []DayOffer `json:"others"`
	Resting   []DayOffer `json:"resting"` // not to be started
}

// DayOffer is a program as a day shows it.
type DayOffer struct {
	Assignment AssignmentID `json:"assignment"`
	Placement  PlacementID  `json:"placement"`
	Title      string       `json:"title"`
	Role       string       `json:"role"`
	Trials     int          `json:"trials"`
	Minutes    int          `json:"minutes"`
	Steps      []DayStep    `json:"steps"` // of the strand being climbed
	Here       int          `json:"here"`  // index of the current step in Steps
	Note       string       `json:"note"`  // why the last decision was taken
	NoteBy     string       `json:"note_by"`
	Start      DayStart     `json:"start"`
}

// DayStart says who of those who use the phone may start a step. It stands
// beside the kit and not in it: what a recording was made by does not change
// with who has learnt to teach it.
type DayStart struct {
	From    TrainingState `json:"from"`
	State   TrainingState `json:"state"`   // of whom the phone belongs to
	Wanting []PersonID    `json:"wanting"` // others who are not as far
}

// DayStep is one step of a stairway.
type DayStep struct {
	Label string `json:"label"`
	Help  bool   `json:"help"` // help is planned on it
}

// DayKit is a kit with the hash that recordings made under it name.
type DayKit struct {
	Hash string `json:"hash"`
	Kit  Kit    `json:"kit"`
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

// Body is the kit as it is sent, and the SHA-256 of that in hex.
func (k Kit) Body() (body []byte, hash string, err error) {
	if body, err = json.Marshal(k); err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(body)
	return body, hex.EncodeToString(sum[:]), nil
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
