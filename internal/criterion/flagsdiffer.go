package criterion

import (
	"slices"

	"newel/internal/stat"
)

// The rule for differences: sessions looked at and needed on each side, points
// between them, and how often dealing sessions blindly would give as much.
const (
	differSessions       = 10
	differLeast          = 3
	differNum, differDen = 1, 5  // 20 points
	dealNum, dealDen     = 1, 20 // 5 %
)

func (e *evaluation) differsByPerson() ([]*judged, bool) {
	return e.differs(e.stretch, func(j *judged) string { return j.By })
}

func (e *evaluation) differsByPlace() ([]*judged, bool) {
	placed := slices.DeleteFunc(slices.Clone(e.stretch), func(j *judged) bool { return j.Place == "" })
	return e.differs(placed, func(j *judged) string { return j.Place })
}

// differs: one name's sessions stand apart from the others', now and also
// without the latest session.
func (e *evaluation) differs(list []*judged, name func(*judged) string) ([]*judged, bool) {
	if e.criterion.Goal.Measure != Accuracy || e.criterion.EachTarget || len(list) <= 2*differLeast {
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
	// One change means that one group lies wholly before the other.
	if count < differLeast || len(list)-count < differLeast || changes < 2 {
		return false
	}
	gap := ours.Correct*theirs.Scored - theirs.Correct*ours.Scored
	if max(gap, -gap)*differDen < ours.Scored*theirs.Scored*differNum {
		return false
	}
	asLarge, ways := stat.DealsAsLarge(shares, marks)
	return asLarge*dealDen <= ways*dealNum
}
