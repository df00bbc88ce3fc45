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
}

// UnmarshalJSON reads a session as it was stored, its place as PlaceOf reads it:
// sessions stored before places had codes keep their label in the database.
func (s *KeptSession) UnmarshalJSON(b []byte) error {
	type stored KeptSession // without this method
	err := json.Unmarshal(b, (*stored)(s))
	s.Place = PlaceOf(s.Place)
	return err
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
