package recording

import (
	"time"

	"newel/internal/newel"
)

// Kept is one stored teaching session: everything ever delivered for it, and a
// summary for loading many at once.
type Kept struct {
	ID          newel.RecordingID
	FamilyID    newel.FamilyID
	PlacementID newel.PlacementID
	AuthorID    newel.AccountID
	ByID        *newel.PersonID // nil if the family has no such person
	State       State
	Session     *newel.KeptSession // made from State and stored beside it, not read back; nil while open or if unreadable
	Closed      bool
	Void        bool
	Afterwards  bool
	Distress    bool // ended early because of distress
	NeedsPerson bool // has surplus or something the server could not interpret
	StartedAt   time.Time
	EndedAt     time.Time
	LocalDate   newel.Day
	Corrected   bool // the phone's clock was corrected
	OddClock    bool // its clocks contradict each other
	Trials      int
	ReceivedAt  time.Time // of the first delivery
	ClosedAt    *time.Time
}
