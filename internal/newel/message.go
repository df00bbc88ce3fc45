package newel

import "time"

// Message is what somebody of a family wrote to the clinic, or of the clinic to
// a family.
type Message struct {
	ID            MessageID
	FamilyID      FamilyID
	FromClinic    bool
	Text          string
	WrittenBy     AccountID
	WrittenByName string // empty: somebody whose name the reader may not see
	WrittenAt     time.Time
	ReadByName    string
	ReadAt        *time.Time // by somebody of the other side; nil: nobody has
	TimeZone      string     // of the family
}

// Waiting are the messages of a family that nobody of the clinic has read.
type Waiting struct {
	Family     FamilyID  `json:"family"`
	FamilyName string    `json:"name"`
	N          int       `json:"n"`
	Text       string    `json:"text"` // of the oldest
	Who        string    `json:"who"`
	At         time.Time `json:"at"`
}
