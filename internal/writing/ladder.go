package writing

import (
	"strconv"
	"strings"

	"newel/internal/program"
)

// Ladder is what the steps of a run have in common.
type Ladder struct {
	// Pattern is the step that the others are made from: how a response is
	// defined, what is recorded, how many tries are planned.
	Pattern program.Step
	// Letter stands before the numbers of the labels, and From is the first of
	// them; 1 if it is not given.
	Letter string
	From   int
	// Criterion is every step's; if it is empty, each gets the one that is usual
	// for its kind. They are proposals.
	Criterion string
}

// usualTrials are planned where the pattern says nothing (common practice).
const usualTrials = 5

func (l Ladder) trials() int {
	if l.Pattern.Trials > 0 {
		return l.Pattern.Trials
	}
	return usualTrials
}

// blank makes a step of the run after the pattern.
func (l Ladder) blank(name, phase string) program.Step {
	s := l.Pattern.Fresh()
	s.Name, s.Phase = name, phase
	if s.Measure == "" {
		s.Measure = program.MeasureTrials
	}
	if s.Measure == program.MeasureTrials {
		s.Trials = l.trials()
	}
	return s
}

// finish numbers the steps and gives the ladder's criterion to all, if it has
// one.
func (l Ladder) finish(steps []program.Step) []program.Step {
	from := max(l.From, 1)
	for i := range steps {
		steps[i].Label = l.Letter + strconv.Itoa(from+i)
		if l.Criterion != "" {
			steps[i].Criterion = l.Criterion
		}
	}
	return steps
}

// oneRun and held are how many sessions in a row are asked for: twice to go on
// within a run (a study guide's rule for massed trials), three times where the
// run ends (three in a row held best in studies of naming; both from excerpts).
const (
	oneRun = 2
	held   = 3
)

// percent writes the usual criterion: so much, in so many sessions, on two
// days at least, so that no single good morning is enough.
func (l Ladder) percent(percent, sessions int, qualifiers ...string) string {
	return criterionOf(strconv.Itoa(percent)+"% independent", sessions,
		append([]string{strconv.Itoa(l.trials()) + " or more trials"}, qualifiers...)...)
}

const onTwoDays = "across 2 days"

func criterionOf(goal string, sessions int, qualifiers ...string) string {
	return goal + " in " + strconv.Itoa(sessions) + " sessions in a row, " +
		strings.Join(append(qualifiers, onTwoDays), ", ")
}

// criterionLike is the pattern's criterion where it has one, or else the usual.
func (l Ladder) criterionLike(usual string) string {
	if l.Pattern.Criterion != "" {
		return l.Pattern.Criterion
	}
	return usual
}

func targets(names ...string) []program.Target {
	out := make([]program.Target, len(names))
	for i, name := range names {
		out[i] = program.Target{Key: program.NewKey(), Name: name}
	}
	return out
}

// target finds the pattern's own target of that name, with its picture and its
// words in other languages.
func (l Ladder) targets(names ...string) []program.Target {
	out := targets(names...)
	for i := range out {
		for _, t := range l.Pattern.Targets {
			if t.Name == out[i].Name {
				key := out[i].Key
				out[i] = t
				out[i].Key = key
			}
		}
	}
	return out
}

// listed writes "cup, spoon and mat".
func listed(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
