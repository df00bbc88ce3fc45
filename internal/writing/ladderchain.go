package writing

import (
	"strconv"

	"newel/internal/program"
)

// Chain returns a series of steps for the links of an activity, which are in
// the order in which they are done. Every step lists all links as its targets
// and says which of them it teaches; the learner masters each of the links that
// the adult does not do. A trial is one link.
func (l Ladder) Chain(kind program.Chain, links []string) []program.Step {
	if len(links) == 0 {
		return nil
	}
	if kind == program.TotalTask {
		return l.finish([]program.Step{l.link(kind, joined(l.Pattern.Name, "all of it"), "", links)})
	}
	var steps []program.Step
	for n := range links {
		taught := links[n]
		if kind == program.BackwardChain {
			taught = links[len(links)-1-n]
		}
		steps = append(steps, l.link(kind, taught, taught, links))
	}
	return l.finish(steps)
}

func (l Ladder) link(kind program.Chain, name, taught string, links []string) program.Step {
	runs := max(l.Pattern.Trials, 1)
	s := l.blank(name, phaseTeaching)
	s.Measure, s.Choices, s.AtOnce = program.MeasureChain, 0, 0
	s.Chain, s.TaughtPart = kind, taught
	s.Targets, s.Order = l.targets(links...), program.Order{}
	own := len(s.Taught())
	s.Trials = runs * own
	s.Criterion = criterionOf("100% independent", atEnd, strconv.Itoa(runs)+" or more trials", "each target")
	if rest := restOf(kind); own < len(links) && s.Context != "" {
		s.Context += ". " + rest
	} else if own < len(links) {
		s.Context = rest
	}
	return s
}

// restOf says who does the links that are not the learner's yet.
func restOf(kind program.Chain) string {
	if kind == program.BackwardChain {
		return "The adult does what comes before."
	}
	return "The adult does what comes after."
}
