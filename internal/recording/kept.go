package recording

import (
	"encoding/json"
	"time"

	"newel/internal/newel"
)

// Kept is one teaching session as it is kept: everything that was ever
// delivered for it, and beside that a summary for reading many at once.
type Kept struct {
	ID          newel.RecordingID
	FamilyID    newel.FamilyID
	PlacementID newel.PlacementID
	AuthorID    newel.AccountID
	ByID        *newel.PersonID // nil: nobody that the family has
	State       State
	Session     json.RawMessage // what the evaluator reads; nil while open or not readable
	Closed      bool
	Void        bool
	Afterwards  bool
	Distress    bool // ended early for it
	NeedsPerson bool // something waits beside it, or is not understood
	StartedAt   time.Time
	EndedAt     time.Time
	LocalDate   newel.Day
	Corrected   bool // the phone's clock was put right
	OddClock    bool // its clocks contradict each other
	Trials      int
	ReceivedAt  time.Time // of the first delivery
	ClosedAt    *time.Time
}
