package criterion

import (
	"math"

	"newel/internal/exact"
	"newel/internal/stat"
)

// LuckQuestion asks whether a criterion lets a learner pass by luck, or keeps
// one who has learned the skill waiting. The assumptions are those of
// OddsQuestion.
type LuckQuestion struct {
	Criterion  string   `json:"criterion"`
	HelpLevels []string `json:"help_levels,omitempty"`
	Trials     int      `json:"trials"` // per session
}

// LuckRow is the answer for one learner.
type LuckRow struct {
	// Percent is the learner's true accuracy.
	Percent exact.Rat `json:"percent"`
	// Within10 and Within20 are the probabilities of meeting the criterion
	// within that many sessions, from a standing start.
	Within10 float64 `json:"within_10"`
	Within20 float64 `json:"within_20"`
}

// LuckAnswer compares a learner who has not learned the skill with one who has.
type LuckAnswer struct {
	Criterion string `json:"criterion"` // in its canonical words
	// Unlearnt is 20 points short of the goal, at least 0%; for goals where
	// lower is better 20 points above it, at most 100%.
	Unlearnt LuckRow `json:"unlearnt"`
	// Learnt is 10 points beyond the goal, at most 95%; for goals where lower
	// is better 10 points below it, at least 5%.
	Learnt LuckRow `json:"learnt"`
	// Lucky reports that Unlearnt meets the criterion within 10 sessions in
	// more than 10 of 100 cases.
	Lucky bool `json:"lucky"`
	// Slow reports that Learnt meets it within 10 sessions in fewer than 80 of
	// 100 cases.
	Slow bool `json:"slow"`
}

// Sound reports whether the criterion is neither lucky nor slow.
func (a LuckAnswer) Sound() bool { return !a.Lucky && !a.Slow }

// LuckSessions is the number of sessions within which luck and waiting are
// judged.
const LuckSessions = 10

var (
	luckyAbove = exact.Frac(10, 100)
	slowBelow  = exact.Frac(80, 100)
)

// Luck answers a question. Lucky and Slow are decided exactly, not by the
// rounded probabilities. An error it returns is an *InputError.
func Luck(q LuckQuestion) (LuckAnswer, error) {
	odds := OddsQuestion{Criterion: q.Criterion, HelpLevels: q.HelpLevels, Trials: q.Trials, Sessions: []int{LuckSessions, 2 * LuckSessions}}
	c, err := odds.check()
	if err != nil {
		return LuckAnswer{}, err
	}
	l := luck{
		trials: q.Trials, asked: q.Trials >= c.Trials,
		tail: newSessionOdds(newYardstick(c.Goal, q.HelpLevels, nil), q.Trials),
		wait: newWindowOdds(c.Window, odds.Sessions),
	}
	unlearnt, learnt := c.Goal.luckPercents()
	a := LuckAnswer{Criterion: c.String(), Unlearnt: l.row(unlearnt), Learnt: l.row(learnt)}
	a.Lucky = l.compare(a.Unlearnt, luckyAbove) > 0
	a.Slow = l.compare(a.Learnt, slowBelow) < 0
	return a, nil
}

// luckPercents returns the true accuracy of a learner who has not learned the
// skill and of one who has.
func (g Goal) luckPercents() (unlearnt, learnt exact.Rat) {
	if g.LowerIsBetter() {
		return lesser(g.Number.Add(exact.Int(20)), exact.Int(100)), greater(g.Number.Sub(exact.Int(10)), exact.Int(5))
	}
	return greater(g.Number.Sub(exact.Int(20)), exact.Int(0)), lesser(g.Number.Add(exact.Int(10)), exact.Int(95))
}

func lesser(a, b exact.Rat) exact.Rat {
	if b.Less(a) {
		return b
	}
	return a
}

func greater(a, b exact.Rat) exact.Rat {
	if a.Less(b) {
		return b
	}
	return a
}

// luck computes rows for one criterion and number of trials.
type luck struct {
	trials int
	asked  bool // there are as many trials as the criterion requires
	tail   sessionOdds
	wait   windowOdds
}

func (l luck) row(percent exact.Rat) LuckRow {
	r := LuckRow{Percent: percent}
	if l.asked {
		within := l.wait.within(l.tail.probability(percent.Float64() / 100))
		r.Within10, r.Within20 = within[LuckSessions], within[2*LuckSessions]
	}
	return r
}

// compare returns 1, 0 or -1 as the probability within ten sessions is more
// than, equal to or less than the limit. Floats decide what is far from the
// limit, and rational arithmetic the rest.
func (l luck) compare(r LuckRow, limit exact.Rat) int {
	const doubt = 1e-8 // far more than the error of the floats
	if d := r.Within10 - limit.Float64(); math.Abs(d) > doubt {
		return int(math.Copysign(1, d))
	}
	session := stat.BinomialBetween(l.trials, l.tail.low, l.tail.high, r.Percent.Quo(exact.Int(100)).Big())
	return l.wait.hits.CompareWithin(LuckSessions, session, limit.Big())
}
