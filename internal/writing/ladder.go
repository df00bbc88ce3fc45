package writing

import (
	"strconv"
	"strings"

	"newel/internal/program"
)

// Ladder holds what the steps of a series have in common.
type Ladder struct {
	// Pattern is the step that the others are derived from: response
	// definition, measure, number of planned trials.
	Pattern program.Step
	// Letter precedes the numbers of the labels, and From is the first number;
	// 1 if unset.
	Letter string
	From   int
	// Criterion applies to every step. If empty, each step gets a proposal that
	// is usual for its kind.
	Criterion string
}

// defaultTrials is used if the pattern does not set a number (common practice).
const defaultTrials = 5

func (l Ladder) trials() int {
	if l.Pattern.Trials > 0 {
		return l.Pattern.Trials
	}
	return defaultTrials
}

// blank returns a step of the series based on the pattern.
func (l Ladder) blank(name, phase string) program.Step {
	s := l.Pattern.Fresh()
	s.Name, s.Phase = name, phase
	if s.Measure == "" {
		s.Measure = program.MeasureTrials
	}
	if s.Measure.ByTrial() {
		s.Trials = l.trials()
	}
	return s
}

// finish numbers the steps and gives all of them the ladder's criterion, if
// set.
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

// oneRun and atEnd are numbers of consecutive sessions: two to move on within a
// series (a study guide's rule for massed trials), three at its end (three in a
// row were best maintained in studies of naming; both from excerpts).
const (
	oneRun = 2
	atEnd  = 3
)

// percent returns the usual criterion: a percentage in a number of sessions on
// at least two days, so that a single good morning is not enough.
func (l Ladder) percent(percent, sessions int, qualifiers ...string) string {
	return criterionOf(strconv.Itoa(percent)+"% independent", sessions,
		append([]string{strconv.Itoa(l.trials()) + " or more trials"}, qualifiers...)...)
}

const onTwoDays = "across 2 days"

func criterionOf(goal string, sessions int, qualifiers ...string) string {
	return goal + " in " + strconv.Itoa(sessions) + " sessions in a row, " +
		strings.Join(append(qualifiers, onTwoDays), ", ")
}

// criterionLike returns the pattern's criterion if it has one, otherwise the
// usual one.
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

// targets returns the targets with these names, reusing the pattern's own with
// their pictures and translations.
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

// listed returns "cup, spoon and mat".
func listed(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
