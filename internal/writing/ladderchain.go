package writing

import (
	"strconv"

	"newel/internal/program"
)

// Chain is the order in which the links of a chain are taught.
type Chain int

// The chains.
const (
	Forward  Chain = iota // the first link, then the first two, and so on; the adult does the rest
	Backward              // the last link first, so that every trial ends in success
	Whole                 // all links every time, with prompts where needed
)

// Chain returns a series of steps for the links of an activity, which are in
// the order in which they are done. A step's targets are the links that the
// learner does, each to be mastered; a trial is one time through the activity.
func (l Ladder) Chain(kind Chain, links []string) []program.Step {
	if len(links) == 0 {
		return nil
	}
	if kind == Whole {
		return l.finish([]program.Step{l.link(joined(l.Pattern.Name, "all of it"), links, "")})
	}
	var steps []program.Step
	for n := 1; n <= len(links); n++ {
		own, name, rest := links[:n], links[n-1], "The adult does what comes after."
		if kind == Backward {
			own, name, rest = links[len(links)-n:], links[len(links)-n], "The adult does what comes before."
		}
		if n == len(links) {
			rest = ""
		}
		steps = append(steps, l.link(name, own, rest))
	}
	return l.finish(steps)
}

func (l Ladder) link(name string, own []string, rest string) program.Step {
	runs := max(l.Pattern.Trials, 1)
	s := l.blank(name, phaseTeaching)
	s.Measure, s.Choices, s.AtOnce = program.MeasureTrials, 0, 0
	s.Targets, s.Order = l.targets(own...), program.Order{}
	s.Trials = runs * len(own)
	s.Criterion = criterionOf("100% independent", atEnd, strconv.Itoa(runs)+" or more trials", "each target")
	if rest != "" && s.Context != "" {
		rest = s.Context + ". " + rest
	}
	if rest != "" {
		s.Context = rest
	}
	return s
}
