package newel

import "newel/internal/criterion"

// KeptSession is a session as it is stored beside its recording: what the
// evaluator reads, and how the session differed from its step. The store
// decodes it once; everything after works with this value.
type KeptSession struct {
	criterion.Session
	Unfit []Condition `json:"unfit,omitempty"` // how it differed from what its step asks for
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
