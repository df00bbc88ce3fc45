package newel

import "time"

// MostMinutes bounds how long an incident can have lasted: a day.
const MostMinutes = 1440

// Incident is something that happened outside of a session, as somebody saw it:
// what was before, what the child did, what came after.
type Incident struct {
	ID            IncidentID
	FamilyID      FamilyID
	LearnerID     LearnerID
	LearnerName   string
	HappenedOn    Day
	AboutWhen     string
	Before        string
	Saw           string
	After         string
	Helped        string
	Minutes       *int // how long it lasted; nil: not said
	Hurt          bool // somebody was
	WrittenByName string
	WrittenAt     time.Time
	SettledByName string
	SettledAt     *time.Time // when the clinic said what follows; nil: it has not
	TimeZone      string     // of the family
	Notes         []IncidentNote
}

// IncidentNote is what was written under an incident later.
type IncidentNote struct {
	Text string    `json:"text"`
	Who  string    `json:"who"`
	At   time.Time `json:"at"`
}
