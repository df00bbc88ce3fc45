package criterion

import (
	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/stat"
)

// Session counts used by the rules. Progress is normally visible within 8 to 10
// sessions (Ferraioli, Hughes & Smith 2005, recalled from the literature on
// decision rules, not looked up); the rest come from the simulation in
// docs/simulation.md.
const (
	recent        = 3 // latest sessions, compared with those before
	fallingEnough = 8 // sessions for a first judgement
	fallingBefore = 8 // earlier sessions to compare the latest with
	slowerEnough  = 6
	slowerBefore  = 5
)

// rule is one flag's rule. It returns the sessions the flag is based on and
// whether it is raised.
type rule func(e *evaluation) (restsOn []*judged, raised bool)

type flagRule struct {
	kind FlagKind
	rule rule
}

// unmetRules lists the rules that apply while the criterion is not met, in
// order.
var unmetRules = []flagRule{
	{Falling, (*evaluation).falling},
	{Flat, unlessAlmostThere((*evaluation).flat)},
	{Uneven, unlessAlmostThere((*evaluation).uneven)},
	{Long, unlessAlmostThere((*evaluation).tooLong)},
	{Close, (*evaluation).closeToGoal},
	{Floor, (*evaluation).atFloor},
	{HelpBound, (*evaluation).helpBound},
	{HelpStuck, (*evaluation).helpStuck},
	{Guessing, (*evaluation).guessing},
	{StepBack, (*evaluation).stepsBack},
	{Idle, (*evaluation).idle},
	{DiffersByPerson, (*evaluation).differsByPerson},
	{DiffersByPlace, (*evaluation).differsByPlace},
	{Slower, (*evaluation).slower},
	{OneSide, (*evaluation).oneSide},
}

// flags returns the raised flags, in order.
func (e *evaluation) flags() []Flag {
	raised := []Flag{}
	raise := func(kind FlagKind, restsOn []*judged) {
		raised = append(raised, Flag{Kind: kind, Sessions: ids(restsOn)})
	}
	if e.met < 0 {
		for _, r := range unmetRules {
			if e.off(r.kind) {
				continue
			}
			if restsOn, ok := r.rule(e); ok {
				raise(r.kind, restsOn)
			}
		}
	}
	if restsOn, ok := e.distress(); ok && !e.off(Distress) {
		raise(Distress, restsOn)
	}
	if kind, restsOn, ok := e.maintenance(); ok && !e.off(kind) {
		raise(kind, restsOn)
	}
	return raised
}

func ids(list []*judged) []string {
	out := make([]string, len(list))
	for i, j := range list {
		out[i] = j.ID
	}
	return out
}

// ruleValues returns the rule values of the sessions for goal i.
func ruleValues(list []*judged, i int) []measure.Value {
	out := make([]measure.Value, len(list))
	for k, j := range list {
		out[k] = j.rules[i]
	}
	return out
}

func plainValues(list []*judged, i int) []measure.Value {
	out := make([]measure.Value, len(list))
	for k, j := range list {
		out[k] = j.values[i]
	}
	return out
}

// trendBelow reports whether the trend of the values is below num/den.
func (y *yardstick) trendBelow(values []measure.Value, num, den int) bool {
	s := stat.KendallS(len(values), func(i, j int) int { return y.better(values[j], values[i]) })
	return stat.TauBelow(s, len(values), num, den)
}

func anyQualifies(list []*judged) bool {
	for _, j := range list {
		if j.qualifies {
			return true
		}
	}
	return false
}

// falling: the latest sessions are clearly worse than the ones before.
func (e *evaluation) falling() ([]*judged, bool) {
	if len(e.stretch) < fallingEnough || e.latestQualifies() {
		return nil, false
	}
	y, restsOn := e.yards[0], latest(e.stretch, recent+fallingBefore)
	values := ruleValues(restsOn, 0)
	old, new := values[:len(values)-recent], values[len(values)-recent:]
	earlier, later := measure.Mean(old), measure.Mean(new)
	if earlier.Over {
		return nil, false
	}
	middle := measure.Median(old)
	for _, v := range new {
		if y.better(v, middle) >= 0 {
			return nil, false
		}
	}
	if !later.Over && y.lead(earlier, later).Less(y.amount(25, 25, earlier)) {
		return nil, false
	}
	return restsOn, true
}

// slower: in the latest sessions, responses or recovery took clearly longer than
// before.
func (e *evaluation) slower() ([]*judged, bool) {
	restsOn := latest(e.rated, recent+slowerBefore)
	if len(restsOn) < slowerEnough {
		return nil, false
	}
	for i, y := range e.yards {
		if m := y.goal.Measure; (m == Latency || m == Recovery) && slowedDown(plainValues(restsOn, i)) {
			return restsOn, true
		}
	}
	return nil, false
}

// slowedDown reports whether each of the last 3 values is at least 1.5 times
// the median of those before, and at least 10 seconds more.
func slowedDown(values []measure.Value) bool {
	old, new := values[:len(values)-recent], values[len(values)-recent:]
	middle := measure.Median(old)
	if middle.Over {
		return false
	}
	half := middle.Number.Mul(exact.Frac(3, 2))
	more := middle.Number.Add(exact.Int(10))
	for _, v := range new {
		if !v.Over && (v.Number.Less(half) || v.Number.Less(more)) {
			return false
		}
	}
	return true
}

// stepsBack applies the program's own step-back rule to the stretch.
func (e *evaluation) stepsBack() ([]*judged, bool) {
	if e.stepBack == nil {
		return nil, false
	}
	return e.holds(e.stepBack)
}

// holds applies a rule written like a step-back rule to the stretch.
func (e *evaluation) holds(r *Criterion) ([]*judged, bool) {
	if len(e.stretch) == 0 {
		return nil, false
	}
	y := newYardstick(r.Goal, e.scale, nil)
	var fit, reaching []*judged
	reached := func(j *judged) (reached, fits bool) {
		if j.scored < r.Trials {
			return false, false
		}
		v, ok := y.ruleValue(j.Session)
		return ok && y.reached(v), ok
	}
	for _, j := range e.stretch {
		if _, fits := reached(j); fits {
			fit = append(fit, j)
		}
	}
	if len(fit) == 0 || last(fit) != last(e.stretch) {
		return nil, false
	}
	if yes, _ := reached(last(fit)); !yes {
		return nil, false
	}
	w := r.Window
	for _, j := range latest(fit, w.Length()) {
		if yes, _ := reached(j); yes {
			reaching = append(reaching, j)
		}
	}
	return reaching, len(reaching) >= w.Need
}
