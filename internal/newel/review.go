package newel

import "time"

// ReviewDuration is how long a review counts as in progress if no one ends it.
const ReviewDuration = 12 * time.Hour

// GuestTimeout is how long a person counts as present after their page was last
// seen open.
const GuestTimeout = 40 * time.Second

// Review is a call about one learner in which all participants see the page
// that the leader has turned to.
type Review struct {
	ID          ReviewID
	FamilyID    FamilyID
	LearnerID   LearnerID
	LearnerName string
	LedBy       AccountID    // who turned the page last
	LedByName   string       // empty if the reader may not see the name
	PlacementID *PlacementID // the open page; nil for the agreed actions
	BeganAt     time.Time
	EndedAt     *time.Time
	Guests      []Guest // in order of arrival
	Agreed      int     // number of actions agreed in it
}

// InProgress reports whether the review is in progress at the given time.
func (r Review) InProgress(at time.Time) bool {
	return r.EndedAt == nil && at.Before(r.BeganAt.Add(ReviewDuration))
}

// Guest is a participant of a review.
type Guest struct {
	Account AccountID `json:"account"`
	Name    string    `json:"name"` // empty if the reader may not see the name
	SeenAt  time.Time `json:"seen_at"`
}

// ActionOwner is who has to do an action.
type ActionOwner string

// An agreed action belongs to the family or to the clinic.
const (
	OwnedByFamily ActionOwner = "family"
	OwnedByClinic ActionOwner = "clinic"
)

// ActionOwners lists the owners.
var ActionOwners = []ActionOwner{OwnedByFamily, OwnedByClinic}

// Outcome is the result of an agreed action.
type Outcome string

// A dropped action was not done and is no longer wanted.
const (
	ActionOpen    Outcome = ""
	ActionDone    Outcome = "done"
	ActionDropped Outcome = "dropped"
)

// Action is a task agreed in a review.
type Action struct {
	ID            ActionID
	FamilyID      FamilyID
	LearnerID     LearnerID
	LearnerName   string
	ReviewID      ReviewID
	Text          string
	Whose         ActionOwner
	DueOn         Day // zero if not stated
	AgreedByName  string
	AgreedAt      time.Time
	Outcome       Outcome
	SettledByName string
	SettledAt     *time.Time
	TimeZone      string // of the family
}

// Due reports whether the action is open and its day has come.
func (a Action) Due(today Day) bool {
	return a.Outcome == ActionOpen && !a.DueOn.IsZero() && !today.Before(a.DueOn)
}
