package newel

import "time"

// MaxMinutes is the maximum duration of an incident: a day.
const MaxMinutes = 1440

// Incident is an event outside a session, as a person observed it: what
// happened before, what the child did, what happened after.
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
	Minutes       *int // duration; nil if not stated
	Hurt          bool // someone was hurt
	WrittenByName string
	WrittenAt     time.Time
	SettledByName string
	SettledAt     *time.Time // when the clinic recorded its response; nil if it has not
	TimeZone      string     // of the family
	Notes         []IncidentNote
}

// IncidentNote is a note added to an incident later.
type IncidentNote struct {
	Text string    `json:"text"`
	Who  string    `json:"who"`
	At   time.Time `json:"at"`
}
