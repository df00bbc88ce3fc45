package writing

import (
	"fmt"
	"strconv"

	"newel/internal/program"
)

// Dimension is what varies along a series for generalization. Only one varies
// at a time; the others stay as in the pattern.
type Dimension int

// The dimensions.
const (
	ByPeople Dimension = iota
	ByPlace
	ByMaterial
)

// DefaultPeople lists people from one familiar adult to a group (common
// practice).
var DefaultPeople = []string{
	"one adult", "two adults, one at a time", "one child, an adult beside", "children, one at a time", "a group of children",
}

// Generalize returns a step for each rung of one dimension, with the pattern's
// criterion.
func (l Ladder) Generalize(by Dimension, rungs []string) []program.Step {
	var steps []program.Step
	for _, rung := range rungs {
		s := l.blank(joined(l.Pattern.Name, rung), phaseSpread)
		switch by {
		case ByPeople:
			s.Fits.People = rung
		case ByPlace:
			s.Fits.Place = rung
		case ByMaterial:
			s.Fits.Materials = rung
		}
		s.Context = contextOf(s.Fits)
		s.Criterion = l.criterionLike(l.percent(80, oneRun))
		steps = append(steps, s)
	}
	return l.finish(steps)
}

func joined(name, rung string) string {
	if name == "" {
		return rung
	}
	return name + ": " + rung
}

func contextOf(f program.Fits) string {
	text := ""
	for _, part := range []string{f.People, f.Place, f.Materials} {
		switch {
		case text == "":
			text = part
		case part != "":
			text += "; " + part
		}
	}
	return text
}

// LessHelp returns steps for prompt fading: one for each level from most to
// least, and one without help. levels are the program's, from least to most.
func (l Ladder) LessHelp(levels []string) []program.Step {
	var steps []program.Step
	for i := len(levels) - 1; i >= 0; i-- {
		s := l.blank(joined(l.Pattern.Name, "with "+levels[i]), phaseTeaching)
		s.PlannedHelp = levels[i]
		s.Criterion = criterionOf("90% with help up to "+levels[i], oneRun, strconv.Itoa(l.trials())+" or more trials")
		steps = append(steps, s)
	}
	alone := l.blank(joined(l.Pattern.Name, "alone"), phaseTeaching)
	alone.PlannedHelp, alone.Criterion = "", l.percent(80, atEnd)
	return l.finish(append(steps, alone))
}

// Unit is the unit of the amounts in a rising series.
type Unit string

// The units.
const (
	Seconds Unit = "seconds"
	Minutes Unit = "minutes"
	Times   Unit = "times"
)

// Rising returns a step for each amount, such as seconds of waiting. If
// durations are recorded, the criterion requires the amount itself; if trials
// are, it requires trials that lasted that long.
func (l Ladder) Rising(amounts []float64, unit Unit) []program.Step {
	var steps []program.Step
	for _, amount := range amounts {
		words := counted(amount, unit)
		s := l.blank(joined(l.Pattern.Name, words), phaseTeaching)
		s.Criterion = l.percent(80, atEnd)
		if s.Measure == program.MeasureDuration && unit != Times {
			s.Criterion = criterionOf(words+" in total", atEnd)
		}
		s.StepBack = ""
		if s.Measure.ByTrial() && len(steps) > 0 {
			s.StepBack = "below 50% independent in 2 sessions in a row"
		}
		steps = append(steps, s)
	}
	return l.finish(steps)
}

func counted(amount float64, unit Unit) string {
	words := strconv.FormatFloat(amount, 'f', -1, 64)
	if amount == 1 {
		return words + " " + map[Unit]string{Seconds: "second", Minutes: "minute", Times: "time"}[unit]
	}
	return fmt.Sprintf("%s %s", words, unit)
}
