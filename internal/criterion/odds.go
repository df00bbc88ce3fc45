package criterion

import (
	"fmt"

	"newel/internal/exact"
	"newel/internal/stat"
)

// OddsQuestion asks how likely a learner with a given true accuracy is to meet
// a criterion, assuming that trials are independent and the accuracy is
// constant. Breadth is ignored.
type OddsQuestion struct {
	Criterion  string      `json:"criterion"`
	HelpLevels []string    `json:"help_levels,omitempty"`
	Trials     int         `json:"trials"`   // per session
	Accuracy   []exact.Rat `json:"accuracy"` // each from 0 to 1
	Sessions   []int       `json:"sessions"` // numbers of sessions to answer for
}

// OddsRow is the answer for one accuracy.
type OddsRow struct {
	Accuracy exact.Rat `json:"accuracy"`
	// Session is the probability that one session qualifies.
	Session float64 `json:"session"`
	// Within is the probability of meeting the window within each number of
	// sessions in the question, from a standing start.
	Within []float64 `json:"within"`
	// ExpectedSessions is the expected number of sessions until it is met; nil
	// if infinite.
	ExpectedSessions *float64 `json:"expected_sessions"`
}

// OddsAnswer tells an author how likely a learner who has not learned the skill
// is to pass by luck, and how long a learner who has learned it must wait.
type OddsAnswer struct {
	Criterion string    `json:"criterion"` // in its canonical words
	Rows      []OddsRow `json:"rows"`
}

// Limits of a question, which bound computing time.
const (
	maxOddsTrials     = 10_000
	maxOddsAccuracies = 1000
	maxOddsSessions   = 10_000
	// Beyond maxCounted sessions, every accuracy is stepped through them.
	maxOddsSteps = 10_000
)

// Odds answers a question by exact dynamic programming, without simulation. An
// error it returns is an *InputError.
func Odds(q OddsQuestion) (OddsAnswer, error) {
	c, err := q.check()
	if err != nil {
		return OddsAnswer{}, err
	}
	tail := newSessionOdds(newYardstick(c.Goal, q.HelpLevels, nil), q.Trials)
	wait := newWindowOdds(c.Window, q.Sessions)
	answer := OddsAnswer{Criterion: c.String(), Rows: make([]OddsRow, 0, len(q.Accuracy))}
	for _, accuracy := range q.Accuracy {
		row := OddsRow{Accuracy: accuracy, Within: make([]float64, len(q.Sessions))}
		if q.Trials >= c.Trials {
			row.fill(tail.probability(accuracy.Float64()), wait)
		}
		answer.Rows = append(answer.Rows, row)
	}
	return answer, nil
}

func (r *OddsRow) fill(session float64, w windowOdds) {
	r.Session = session
	within := w.within(session)
	for i, n := range w.sessions {
		r.Within[i] = within[n]
	}
	if expected, ok := w.wait.Expected(session); ok {
		r.ExpectedSessions = &expected
	}
}

// windowOdds computes the wait for a window for many accuracies.
type windowOdds struct {
	wait     *stat.Waiting
	sessions []int // numbers of sessions to answer for
	longest  int
	hits     stat.Counts // shared by all accuracies; nil for a long wait
}

// maxCounted is the longest wait for which sequences are counted once for all
// accuracies. Beyond it each accuracy is stepped through the sessions.
const maxCounted = 64

func newWindowOdds(w Window, sessions []int) windowOdds {
	o := windowOdds{wait: stat.NewWaiting(w.Need, w.Of, nil), sessions: sessions}
	for _, n := range sessions {
		o.longest = max(o.longest, n)
	}
	if o.longest <= maxCounted {
		o.hits = o.wait.Hits(o.longest)
	}
	return o
}

func (o windowOdds) within(session float64) []float64 {
	if o.hits == nil {
		return o.wait.Within(session, o.longest)
	}
	return o.hits.Within(session)
}

func (q *OddsQuestion) check() (Criterion, error) {
	if err := checkNames("help_levels", q.HelpLevels); err != nil {
		return Criterion{}, err
	}
	c, err := Parse(q.Criterion, Vocabulary{HelpLevels: q.HelpLevels, anyTargets: true})
	if err != nil {
		return Criterion{}, wrong("criterion", err)
	}
	switch {
	case c.Goal.Measure != Accuracy:
		return c, wrongf("criterion", "odds can only be told for percentages of trials that are correct, such as %s", exampleWhole)
	case c.EachTarget:
		return c, wrongf("criterion", "odds cannot be told for each target; leave it away")
	case c.Second != nil:
		return c, wrongf("criterion", "odds cannot be told for two goals; leave the second away")
	case c.Window.Length() > stat.MaxWindow:
		return c, wrongf("criterion", "odds can only be told for windows of at most %d sessions", stat.MaxWindow)
	case q.Trials < 1 || q.Trials > maxOddsTrials:
		return c, wrongf("trials", "must be from 1 to %d", maxOddsTrials)
	}
	if len(q.Accuracy) > maxOddsAccuracies {
		return c, wrongf("accuracy", "must have at most %d values", maxOddsAccuracies)
	}
	for i, a := range q.Accuracy {
		if a.Sign() < 0 || exact.Int(1).Less(a) {
			return c, wrongf(fmt.Sprintf("accuracy[%d]", i), "must be from 0 to 1")
		}
	}
	for i, n := range q.Sessions {
		if n < 0 || n > maxOddsSessions {
			return c, wrongf(fmt.Sprintf("sessions[%d]", i), "must be from 0 to %d", maxOddsSessions)
		}
		if n > maxCounted && n*len(q.Accuracy) > maxOddsSteps {
			return c, wrongf(fmt.Sprintf("sessions[%d]", i), "for %d values of accuracy, must be at most %d", len(q.Accuracy), max(maxCounted, maxOddsSteps/len(q.Accuracy)))
		}
	}
	return c, nil
}
