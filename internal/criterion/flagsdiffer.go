package criterion

import (
	"slices"

	"newel/internal/stat"
)

// Thresholds of the rule for differences: sessions considered and required on
// each side, points between the sides, and how often a random assignment of
// sessions, within their halves, would produce as large a difference.
const (
	differSessions = 10
	differLeast    = 3
	differPart     = 5  // a fifth: 20 points
	dealPart       = 20 // a twentieth: 5 %
)

func (e *evaluation) differsByPerson() ([]*judged, bool) {
	return e.differs(e.stretch, byPerson)
}

func (e *evaluation) differsByPlace() ([]*judged, bool) {
	return e.differs(e.placed(), byPlace)
}

func byPerson(j *judged) string { return j.By }
func byPlace(j *judged) string  { return j.Place }

// placed returns the sessions of the stretch that have a place.
func (e *evaluation) placed() []*judged {
	return slices.DeleteFunc(slices.Clone(e.stretch), func(j *judged) bool { return j.Place == "" })
}

// dividesTrials reports whether sessions can be compared by their shares of
// correct trials.
func (e *evaluation) dividesTrials() bool {
	return e.criterion.Goal.Measure == Accuracy && !e.criterion.EachTarget
}

// differs reports whether the sessions of one name differ from the others',
// with and without the latest session.
func (e *evaluation) differs(list []*judged, name func(*judged) string) ([]*judged, bool) {
	if !e.dividesTrials() || len(list) == 0 {
		return nil, false
	}
	ten, earlier := latest(list, differSessions), latest(list[:len(list)-1], differSessions)
	var tried []string
	for _, j := range ten {
		who := name(j)
		if who == "" || slices.Contains(tried, who) {
			continue
		}
		tried = append(tried, who)
		mine := func(j *judged) bool { return name(j) == who }
		if standsApart(ten, mine) && standsApart(earlier, mine) {
			return ten, true
		}
	}
	return nil, false
}

// standsApart reports whether the marked sessions differ from the others. Only
// deals are compared that leave as many of them in the older half, and in the
// newer, so that a change over time does not pass for a difference.
func standsApart(list []*judged, mine func(*judged) bool) bool {
	shares, marks := make([]stat.Share, len(list)), make([]bool, len(list))
	var ours, theirs stat.Share
	count, changes := 0, 0
	for i, j := range list {
		shares[i], marks[i] = stat.Share{Correct: j.correct, Scored: j.scored}, mine(j)
		if marks[i] {
			count++
			ours = stat.Share{Correct: ours.Correct + j.correct, Scored: ours.Scored + j.scored}
		} else {
			theirs = stat.Share{Correct: theirs.Correct + j.correct, Scored: theirs.Scored + j.scored}
		}
		if i > 0 && marks[i] != marks[i-1] {
			changes++
		}
	}
	// One change means that one group comes entirely before the other.
	if count < differLeast || len(list)-count < differLeast || changes < 2 {
		return false
	}
	gap := ours.Correct*theirs.Scored - theirs.Correct*ours.Scored
	if max(gap, -gap)*differPart < ours.Scored*theirs.Scored {
		return false
	}
	asLarge, ways := stat.DealsAsLarge(shares, marks, len(list)/2)
	return asLarge*dealPart <= ways
}
