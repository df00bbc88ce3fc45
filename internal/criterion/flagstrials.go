package criterion

import (
	"slices"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/stat"
)

// Session counts of the rules about help, guessing and the floor.
const (
	helpSessions     = 6
	floorSessions    = 8
	guessingStretch  = 8 // sessions before guessing is considered
	guessingSessions = 5 // sessions that it is judged by
)

// atFloor reports whether accuracy stays so low that the step may be too hard,
// or at chance level.
func (e *evaluation) atFloor() ([]*judged, bool) {
	y, eight := e.yards[0], latest(e.stretch, floorSessions)
	if !y.ascending() || len(eight) < floorSessions || anyQualifies(eight) {
		return nil, false
	}
	floor := measure.Of(e.floorOf(eight))
	values := ruleValues(eight, 0)
	for _, v := range values {
		if v.Compare(floor) >= 0 {
			return nil, false
		}
	}
	earlier, later := measure.Mean(values[:floorSessions/2]), measure.Mean(values[floorSessions/2:])
	return eight, y.lead(later, earlier).Less(exact.Int(10))
}

func (e *evaluation) floorOf(list []*judged) exact.Rat {
	choices, _, _ := e.sameChoices(list)
	if choices == 0 {
		return e.floor
	}
	chance := exact.Frac(100, int64(choices)).Add(exact.Int(10))
	if e.floor.Less(chance) {
		return chance
	}
	return e.floor
}

// sameChoices returns the number of choices that all scored trials of the
// sessions share (0 if they differ), how many were correct and how many were
// scored.
func (e *evaluation) sameChoices(list []*judged) (choices, correct, scored int) {
	for _, j := range list {
		correct += j.correct
		scored += j.scored
		for i := range j.Trials {
			t := &j.Trials[i]
			if !t.Scored() {
				continue
			}
			if t.Choices == 0 || choices != 0 && choices != t.Choices {
				return 0, 0, 0
			}
			choices = t.Choices
		}
	}
	return choices, correct, scored
}

// plainAccuracy reports whether the goal is an accuracy, not per target, with
// "at least" or "above".
func (e *evaluation) plainAccuracy() bool {
	return e.yards[0].ascending() && !e.criterion.EachTarget
}

// helpBound: correct with help, and the help is not decreasing.
func (e *evaluation) helpBound() ([]*judged, bool) {
	six := latest(e.stretch, helpSessions)
	if !e.plainAccuracy() || e.criterion.Goal.Level != "" || e.plannedHelp() ||
		len(six) < helpSessions || anyQualifies(six) {
		return nil, false
	}
	for _, j := range six {
		helped, scored := measure.Tally(j.Trials, e.scale, len(e.scale))
		if helped*10 < scored*9 || helped == j.correct {
			return nil, false
		}
	}
	return six, e.yards[0].trendBelow(ruleValues(six, 0), 1, 5)
}

// helpStuck: reliably correct with the planned help, which has not been
// reduced.
func (e *evaluation) helpStuck() ([]*judged, bool) {
	six := latest(e.stretch, helpSessions)
	if !e.plainAccuracy() || e.criterion.Goal.Level != "" || !e.plannedHelp() ||
		len(six) < helpSessions || anyQualifies(six) {
		return nil, false
	}
	ninety := exact.Int(90)
	for _, j := range six {
		if j.rules[0].Number.Less(ninety) {
			return nil, false
		}
	}
	return six, true
}

// The rule for guessing: the number of trials, and how often guessing would do
// as well.
const (
	guessingTrials           = 20
	guessingNum, guessingDen = 1, 20
)

// guessing: no better than chance.
func (e *evaluation) guessing() ([]*judged, bool) {
	if !e.plainAccuracy() || e.plannedHelp() || len(e.stretch) < guessingStretch {
		return nil, false
	}
	five := latest(e.stretch, guessingSessions)
	choices, correct, scored := e.sameChoices(five)
	if choices == 0 || scored < guessingTrials {
		return nil, false
	}
	if !exact.Frac(100, int64(choices)).Less(e.yards[0].limit) {
		return nil, false
	}
	return five, stat.GuessTailAtLeast(scored, choices, correct, guessingNum, guessingDen)
}

// The rule for position bias: trials considered, trials required, and share at
// one position.
const (
	sideTrials = 30
	sideLeast  = 15
)

// oneSide: the child chooses one position regardless of what is there.
func (e *evaluation) oneSide() ([]*judged, bool) {
	var restsOn []*judged
	chosen, n, most := map[int]int{}, 0, 0
	for _, j := range slices.Backward(e.rated) {
		before := n
		for k := len(j.Trials) - 1; k >= 0 && n < sideTrials; k-- {
			t := &j.Trials[k]
			if !t.Scored() || t.Help != "" || t.Choices == 0 || t.Position == 0 {
				continue
			}
			n++
			chosen[t.Position]++
			most = max(most, chosen[t.Position])
		}
		if n > before {
			restsOn = append([]*judged{j}, restsOn...)
		}
	}
	return restsOn, n >= sideLeast && most*5 >= n*4
}

// distress looks at the last sessions of any kind, void or not.
func (e *evaluation) distress() ([]*judged, bool) {
	var present []*judged
	for i := range e.all {
		if !e.all[i].EndedAt.After(e.AsOf) {
			present = append(present, &e.all[i])
		}
	}
	five := latest(present, 5)
	var much, some int
	for _, j := range five {
		if j.declinedMuch() {
			much++
		}
		if j.declined > 0 {
			some++
		}
	}
	var restsOn []*judged
	for i, j := range five {
		ended := j.EndedEarly == EarlyDistress && i >= len(five)-recent
		if ended || much >= 2 && j.declinedMuch() || some == 5 {
			restsOn = append(restsOn, j)
		}
	}
	return restsOn, len(restsOn) > 0
}

// declinedMuch reports whether 2 or more trials, and at least a fifth of those
// offered, were declined.
func (j *judged) declinedMuch() bool {
	return j.declined >= 2 && j.declined*5 >= j.offered
}

// maintenance compares the maintenance sessions of a met step with its goal.
func (e *evaluation) maintenance() (kind FlagKind, restsOn []*judged, raised bool) {
	if e.met < 0 {
		return "", nil, false
	}
	meeting := e.counted[e.met]
	var checks []*judged
	for i := range e.all {
		j := &e.all[i]
		if j.why == WhyMaintenance && j.has && j.EndedAt.After(meeting.EndedAt) {
			checks = append(checks, j)
		}
	}
	if len(checks) == 0 || e.reachesAll(last(checks)) {
		return "", nil, false
	}
	if two := latest(checks, 2); len(two) == 2 && !e.reachesAll(two[0]) {
		return Slipping, two, true
	}
	return CheckAgain, latest(checks, 1), true
}
