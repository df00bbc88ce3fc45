package criterion

import (
	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/stat"
)

// Strength is how much the trials at which a criterion was met say.
type Strength string

// The strengths. Of children met in a mixed simulation, 38–70 % were within ten
// points of the goal where the evidence was thin, 73–86 % where it was fair and
// 88–98 % where it was good.
const (
	Thin Strength = "thin" // probability below 0.80
	Fair Strength = "fair" // below 0.95
	Good Strength = "good"
)

// strengthOf compares floats: with halves in the parameters, a probability of
// the Beta distribution is a sum of an arcsine and algebraic numbers, divided by
// π, which is never exactly one of the limits. It is not rounded before.
func strengthOf(probability float64) Strength {
	switch {
	case probability < 0.80:
		return Thin
	case probability < 0.95:
		return Fair
	}
	return Good
}

// Evidence is what the trials of the window at which a criterion was met say
// about the child's accuracy. It changes no status.
type Evidence struct {
	Correct int `json:"correct"`
	Trials  int `json:"trials"`
	// Percent is ten points short of the goal: ten below it, or above it for
	// "at most" and "below", but never outside 0–100. A child near the goal was
	// not passed by luck.
	Percent float64 `json:"percent"`
	// Probability that the true accuracy is at least Percent ("at most" and
	// "below": at most), to 1e-6: P(p ≥ Percent ÷ 100) for p ~ Beta(Correct + ½,
	// Trials − Correct + ½). The window was chosen because it was good, so this
	// says too much; pages show the Strength.
	Probability float64  `json:"probability"`
	Strength    Strength `json:"strength"`
	// Afterwards is how many of the window's sessions were written down
	// afterward, from memory.
	Afterwards int `json:"afterwards,omitempty"`
}

// evidencePoints is how far from the goal a true accuracy may be.
const evidencePoints = 10

// evidence weighs the trials of the window at the meeting session. It returns
// nil for goals other than accuracy and first trial, for a second goal, and
// before the criterion is met.
func (e *evaluation) evidence() *Evidence {
	c := &e.criterion
	if e.met < 0 || c.Second != nil || c.Goal.Measure != Accuracy && c.Goal.Measure != FirstTrial {
		return nil
	}
	if !c.EachTarget {
		return e.evidenceFor("")
	}
	var least *Evidence
	for _, target := range e.Targets {
		if one := e.evidenceFor(target); least == nil || one.Probability < least.Probability {
			least = one
		}
	}
	return least
}

// evidenceFor weighs the trials of one target, or all trials if target is
// empty.
func (e *evaluation) evidenceFor(target string) *Evidence {
	limit := e.evidenceLimit()
	out := &Evidence{Percent: limit.Float64()}
	for _, j := range e.windowAt(e.met) {
		correct, scored := e.yards[0].tally(j.Trials, target)
		out.Correct += correct
		out.Trials += scored
		if j.Afterwards {
			out.Afterwards++
		}
	}
	below := stat.BetaBelow(out.Correct, out.Trials, limit.Quo(exact.Int(100)).Float64())
	out.Probability = 1 - below
	if e.yards[0].lower {
		out.Probability = below
	}
	out.Strength = strengthOf(out.Probability)
	return out
}

// evidenceLimit returns the percentage ten points short of the goal.
func (e *evaluation) evidenceLimit() exact.Rat {
	points, y := exact.Int(evidencePoints), e.yards[0]
	if !y.lower {
		if y.limit.Less(points) {
			return exact.Int(0)
		}
		return y.limit.Sub(points)
	}
	if all := exact.Int(100); y.limit.Add(points).Less(all) {
		return y.limit.Add(points)
	}
	return exact.Int(100)
}

// windowAt returns the sessions that a window at the counted session i takes
// its trials from: in a row, the whole unbroken run; of the last n, all rated
// ones of them, whether they qualify or not.
func (e *evaluation) windowAt(i int) []*judged {
	w := e.criterion.Window
	if w.InARow() {
		return e.restsOn(i)
	}
	var rated []*judged
	for _, j := range e.counted[max(0, i+1-w.Of) : i+1] {
		if j.rated() {
			rated = append(rated, j)
		}
	}
	return rated
}

// tally counts the correct and the scored trials that an accuracy or
// first-trial goal looks at, of one target, or of all if target is empty.
func (y *yardstick) tally(trials []Trial, target string) (correct, scored int) {
	if y.goal.Measure == FirstTrial {
		trials = firstScored(trials, target)
	}
	if target == "" {
		return measure.Tally(trials, y.scale, y.rank)
	}
	return measure.TallyTarget(trials, target, y.scale, y.rank)
}

// firstScored returns the first scored trial, of one target if it is given.
func firstScored(trials []Trial, target string) []Trial {
	for i := range trials {
		if t := &trials[i]; t.Scored() && (target == "" || t.Target == target) {
			return trials[i : i+1]
		}
	}
	return nil
}
