package newel

import "time"

// ReviewLasts is how long a review that nobody has ended counts as going on.
const ReviewLasts = 12 * time.Hour

// GuestStays is how long somebody counts as there after a page of theirs was
// last seen to be open.
const GuestStays = 40 * time.Second

// Review is a call about one learner in which everybody who has come sees the
// page that whoever leads has turned to.
type Review struct {
	ID          ReviewID
	FamilyID    FamilyID
	LearnerID   LearnerID
	LearnerName string
	LedBy       AccountID    // who turned the page last
	LedByName   string       // empty: somebody whose name the reader may not see
	PlacementID *PlacementID // the page that lies open; nil: what was agreed
	BeganAt     time.Time
	EndedAt     *time.Time
	Guests      []Guest // in the order in which they came
	Agreed      int     // how many actions were agreed in it
}

// GoesOn reports whether the review is going on at a moment.
func (r Review) GoesOn(at time.Time) bool {
	return r.EndedAt == nil && at.Before(r.BeganAt.Add(ReviewLasts))
}

// Guest is somebody who has come to a review.
type Guest struct {
	Account AccountID `json:"account"`
	Name    string    `json:"name"` // empty: somebody whose name the reader may not see
	SeenAt  time.Time `json:"seen_at"`
}

// Whose says by whom an action is to be done.
type Whose string

// An agreed action is the family's or the clinic's.
const (
	OfFamily Whose = "family"
	OfClinic Whose = "clinic"
)

// WhoseKinds lists them.
var WhoseKinds = []Whose{OfFamily, OfClinic}

// Outcome is what became of an agreed action.
type Outcome string

// An action that was dropped is not done and no longer wanted.
const (
	StillToDo     Outcome = ""
	ActionDone    Outcome = "done"
	ActionDropped Outcome = "dropped"
)

// Action is something agreed in a review, to be done after it.
type Action struct {
	ID            ActionID
	FamilyID      FamilyID
	LearnerID     LearnerID
	LearnerName   string
	ReviewID      ReviewID
	Text          string
	Whose         Whose
	DueOn         Day // zero: not said
	AgreedByName  string
	AgreedAt      time.Time
	Outcome       Outcome
	SettledByName string
	SettledAt     *time.Time
	TimeZone      string // of the family
}

// Due reports whether the action is still to do and its day has come.
func (a Action) Due(today Day) bool {
	return a.Outcome == StillToDo && !a.DueOn.IsZero() && !today.Before(a.DueOn)
}
