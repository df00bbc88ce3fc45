package newel

import (
	"encoding/json"

	"newel/internal/criterion"
)

// KeptSession is a session as it is stored beside its recording: what the
// evaluator reads, and how the session differed from its step. The store
// decodes it once; everything after works with this value.
type KeptSession struct {
	criterion.Session
	Unfit []Condition `json:"unfit,omitempty"` // how it differed from what its step asks for
	// IntervalKind says what a marked interval means, empty if the phone did not
	// say: see measure.IntervalKind.
	IntervalKind string `json:"interval_kind,omitempty"`
}

// stored is a KeptSession as encoding/json reads it.
type stored KeptSession

// decoded returns the session with its place as PlaceOf reads it: sessions
// stored before places had codes keep their label in the database.
func (s stored) decoded() KeptSession {
	s.Place = PlaceOf(s.Place)
	if s.PlaceSort == "" { // stored before places had sorts
		s.PlaceSort = string(SortOf(s.Place))
	}
	return KeptSession(s)
}

// UnmarshalJSON decodes a stored session.
func (s *KeptSession) UnmarshalJSON(b []byte) error {
	var one stored
	err := json.Unmarshal(b, &one)
	*s = one.decoded()
	return err
}

// KeptSessions are stored sessions that are decoded together, which is cheaper
// than one by one: encoding/json scans what a method decodes once more.
type KeptSessions []KeptSession

// UnmarshalJSON decodes a list of stored sessions.
func (l *KeptSessions) UnmarshalJSON(b []byte) error {
	var list []stored
	if err := json.Unmarshal(b, &list); err != nil {
		return err
	}
	*l = make(KeptSessions, len(list))
	for i, s := range list {
		(*l)[i] = s.decoded()
	}
	return nil
}

// Condition is something that a step requires of a session for it to count.
type Condition string

// The conditions.
const (
	FitsPeople    Condition = "people"
	FitsPlace     Condition = "place"
	FitsMaterials Condition = "materials"
)

// Conditions lists every condition.
var Conditions = []Condition{FitsPeople, FitsPlace, FitsMaterials}
