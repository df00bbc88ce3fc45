package criterion

import (
	"slices"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/stat"
)

// Sizes of estimates and forecasts.
const (
	estimateSessions = 5
	forecastSessions = 10
	forecastLimit    = 60 // sessions within which to look for an even chance
)

// estimates reports whether estimates, forecasts and odds exist for the
// criterion.
func (c *Criterion) estimates() bool {
	return c.Goal.Measure == Accuracy && !c.EachTarget && c.Second == nil
}

// pooled sums the last rated sessions.
func (e *evaluation) pooled() (correct, scored int) {
	for _, j := range latest(e.rated, estimateSessions) {
		correct += j.correct
		scored += j.scored
	}
	return correct, scored
}

func (e *evaluation) estimate() *Estimate {
	if !e.criterion.estimates() || len(e.rated) == 0 {
		return nil
	}
	x, n := e.pooled()
	low, high, _ := stat.Wilson(x, n, stat.Z975)
	return &Estimate{
		Correct: x, Trials: n,
		Percent: exact.Frac(100*int64(x), int64(n)).Float64(),
		Low:     100 * low, High: 100 * high,
		Session: e.sessionAtEstimate(),
	}
}

// defaultTrials returns the median number of scored trials in the last rated
// sessions, of which there must be estimateSessions.
func (e *evaluation) usualTrials() int {
	var sizes []int
	for _, j := range latest(e.rated, estimateSessions) {
		sizes = append(sizes, j.scored)
	}
	slices.Sort(sizes)
	return sizes[len(sizes)/2]
}

// sessionAtEstimate returns the probability that one session of the usual
// number of trials meets the goal at the estimated accuracy.
func (e *evaluation) sessionAtEstimate() *float64 {
	if len(e.rated) < estimateSessions {
		return nil
	}
	x, n := e.pooled()
	trials := e.usualTrials()
	odds, mean := newSessionOdds(e.yards[0], trials), 0.0
	for _, node := range stat.JeffreysNodes(x, n, trials, trials) {
		mean += node.Weight * odds.probability(node.P)
	}
	mean = min(1, mean)
	return &mean
}

func (e *evaluation) forecast() *Forecast {
	if !e.criterion.estimates() || e.met >= 0 || len(e.rated) < estimateSessions ||
		last(e.counted).satisfied || e.criterion.Window.Length() > stat.MaxWindow {
		return nil
	}
	trials := e.usualTrials()
	var so []bool
	for _, j := range latest(e.counted, stat.MaxWindow) {
		so = append(so, j.qualifies)
	}
	x, n := e.pooled()
	nodes := stat.JeffreysNodes(x, n, forecastLimit*trials, trials)
	tail := newSessionOdds(e.yards[0], trials)
	for i := range nodes {
		nodes[i].P = tail.probability(nodes[i].P)
	}
	w := e.criterion.Window
	return forecastFrom(nodes, stat.NewWaiting(w.Need, w.Of, so).Hits(forecastLimit))
}

// forecastFrom averages the forecast over the probability that a session
// qualifies, which is the P of each node. hits are those of the window.
func forecastFrom(nodes []stat.Node, hits stat.Counts) *Forecast {
	f := &Forecast{Sessions: forecastSessions}
	// Tolerate rounding errors in an even chance.
	const even = 0.5 - 1e-12
	within := 0.0
	for n := 1; n < len(hits); n++ {
		for _, node := range nodes {
			within += node.Weight * hits.At(n, node.P)
		}
		if n == forecastSessions {
			f.Probability = min(1, within)
		}
		if f.EvenChanceIn == nil && within >= even {
			f.EvenChanceIn = &n
		}
		if f.EvenChanceIn != nil && n >= forecastSessions {
			break
		}
	}
	return f
}

// sessionOdds is the probability that one session qualifies.
type sessionOdds struct {
	binomial  *stat.Binomial
	low, high int // range of correct trials that meets the goal
}

func newSessionOdds(y *yardstick, trials int) sessionOdds {
	o := sessionOdds{binomial: stat.NewBinomial(trials), low: 0, high: -1}
	for correct := range trials + 1 {
		v, _ := measure.Percent(correct, trials)
		if !y.reached(v) {
			continue
		}
		if o.high < 0 {
			o.low = correct
		}
		o.high = correct
	}
	return o
}

func (o sessionOdds) probability(accuracy float64) float64 {
	return o.binomial.Between(o.low, o.high, accuracy)
}
