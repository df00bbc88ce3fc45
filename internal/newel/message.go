package newel

import "time"

// Message is a message from a family to the clinic or from the clinic to a
// family.
type Message struct {
	ID            MessageID
	FamilyID      FamilyID
	FromClinic    bool
	Text          string
	WrittenBy     AccountID
	WrittenByName string // empty if the reader may not see the name
	WrittenAt     time.Time
	ReadByName    string
	ReadAt        *time.Time // by the other side; nil if unread
	TimeZone      string     // of the family
}

// UnreadMessages summarizes a family's messages that no one at the clinic has read.
type UnreadMessages struct {
	Family     FamilyID  `json:"family"`
	FamilyName string    `json:"name"`
	N          int       `json:"n"`
	Text       string    `json:"text"` // of the oldest message
	Who        string    `json:"who"`
	At         time.Time `json:"at"`
}
