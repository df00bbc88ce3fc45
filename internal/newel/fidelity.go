package newel

import "time"

// Watched is how an observer watched a step being taught.
type Watched string

// A video requires the family's consent to being filmed.
const (
	WatchedCall  Watched = "call"
	WatchedVisit Watched = "visit"
	WatchedFilm  Watched = "film"
)

// WatchedKinds lists the ways to watch.
var WatchedKinds = []Watched{WatchedCall, WatchedVisit, WatchedFilm}

// Seen is what an observer saw of one point of the checklist.
type Seen string

// A point with no opportunity, or out of sight, counts neither way.
const (
	SeenDone    Seen = "done"
	SeenNotDone Seen = "not_done"
	NotSeen     Seen = "not_seen"
)

// SeenKinds lists the possible observations.
var SeenKinds = []Seen{SeenDone, SeenNotDone, NotSeen}

// FidelityPoint is one point of a program's checklist, as worded in its
// version, and what the observer saw of it.
type FidelityPoint struct {
	Text string `json:"text"`
	Seen Seen   `json:"seen"`
}

// FidelityPoints are the points of one observation, in the program's order.
type FidelityPoints []FidelityPoint

// With returns the points with the given observation.
func (p FidelityPoints) With(seen Seen) []string {
	var with []string
	for _, point := range p {
		if point.Seen == seen {
			with = append(with, point.Text)
		}
	}
	return with
}

// Share returns the number of points done as planned and the number observed at
// all; their quotient is procedural fidelity (common practice). If nothing was
// observed, both are 0 and fidelity is undefined.
func (p FidelityPoints) Share() (done, of int) {
	done = len(p.With(SeenDone))
	return done, done + len(p.With(SeenNotDone))
}

// Fidelity is a clinic member's observation of how a step was taught, point by
// point (procedural fidelity).
type Fidelity struct {
	ID          FidelityID
	FamilyID    FamilyID
	PlacementID PlacementID
	PersonID    PersonID // the person who taught
	PersonName  string
	TaughtOn    Day
	Watched     Watched
	Points      FidelityPoints
	Note        string
	NotedBy     AccountID
	NotedByName string
	NotedAt     time.Time
	// WithdrawnAt is when it was withdrawn as a mistake, after which it no
	// longer counts; nil if it still counts.
	WithdrawnAt     *time.Time
	WithdrawnByName string
}

// LatestFidelity is the latest observation of an assignment.
type LatestFidelity struct {
	Person   string         `json:"person"`
	TaughtOn Day            `json:"taught_on"`
	Points   FidelityPoints `json:"points"`
}
