package newel

import "time"

// Watched says how somebody looked on while a step was taught.
type Watched string

// A film takes the family's consent to being filmed.
const (
	WatchedCall  Watched = "call"
	WatchedVisit Watched = "visit"
	WatchedFilm  Watched = "film"
)

// WatchedKinds lists them.
var WatchedKinds = []Watched{WatchedCall, WatchedVisit, WatchedFilm}

// Seen says what was seen of one point of the list.
type Seen string

// A point for which there was no occasion, or that was out of sight, counts
// neither way.
const (
	SeenDone    Seen = "done"
	SeenNotDone Seen = "not_done"
	NotSeen     Seen = "not_seen"
)

// SeenKinds lists them.
var SeenKinds = []Seen{SeenDone, SeenNotDone, NotSeen}

// FidelityPoint is one point of a program's list, as its version had it, and
// what was seen of it.
type FidelityPoint struct {
	Text string `json:"text"`
	Seen Seen   `json:"seen"`
}

// FidelityPoints are the points of one looking on, in the program's order.
type FidelityPoints []FidelityPoint

// With lists the points of which that was seen.
func (p FidelityPoints) With(seen Seen) []string {
	var with []string
	for _, point := range p {
		if point.Seen == seen {
			with = append(with, point.Text)
		}
	}
	return with
}

// Share counts the points done as planned, and those that were seen at all:
// procedural fidelity is the one by the other (common practice). Where nothing
// was seen it is 0 of 0, and there is no fidelity to tell.
func (p FidelityPoints) Share() (done, of int) {
	done = len(p.With(SeenDone))
	return done, done + len(p.With(SeenNotDone))
}

// Fidelity is what somebody of the clinic saw of how a step was taught, point
// by point (procedural fidelity).
type Fidelity struct {
	ID          FidelityID
	FamilyID    FamilyID
	PlacementID PlacementID
	PersonID    PersonID // who taught
	PersonName  string
	TaughtOn    Day
	Watched     Watched
	Points      FidelityPoints
	Note        string
	NotedBy     AccountID
	NotedByName string
	NotedAt     time.Time
	// WithdrawnAt is when it was taken back as a slip: it counts nowhere. nil:
	// it stands.
	WithdrawnAt     *time.Time
	WithdrawnByName string
}

// LatestFidelity is what was seen last of how an assignment is taught.
type LatestFidelity struct {
	Person   string         `json:"person"`
	TaughtOn Day            `json:"taught_on"`
	Points   FidelityPoints `json:"points"`
}
