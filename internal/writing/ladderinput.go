package writing

import (
	"strconv"
	"strings"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
)

// LadderKinds lists the kinds of series.
var LadderKinds = []string{
	"discrimination", "massed", "next", "blocks", "rotation", "forward", "backward", "whole", "less_help", "rising", "people", "place", "material",
}

// LadderInput is a series of steps to create, as typed.
type LadderInput struct {
	Strand, After string // keys: where to insert it
	Kind          string
	Lines         string // targets, links, rungs, levels or amounts, one per line
	Unit          string // for a rising series
	Name          string // the steps' common name
	Letter        string // before the numbers of the labels
	From          string
	Criterion     string // for all steps; empty: the usual one
}

// DefaultLines returns the initial lines if nothing was typed: the help levels,
// or the usual people.
func (in LadderInput) DefaultLines(d *program.Document) string {
	switch in.Kind {
	case "less_help":
		return strings.Join(d.HelpNames(), "\n")
	case "people":
		return strings.Join(DefaultPeople, "\n")
	}
	return ""
}

// Steps returns the steps of the series for the document. An error it returns
// is a *newel.Invalid that names the fields.
func (in LadderInput) Steps(d *program.Document) ([]program.Step, error) {
	var e newel.Invalid
	lines := linesOf(in.Lines)
	if len(lines) == 0 {
		e.Add("lines", "ladder.lines")
	}
	if len(lines) > maxRungs {
		e.Add("lines", "ladder.too_many", "limit", maxRungs)
	}
	l := Ladder{Letter: e.Line("letter", in.Letter, 6, false), Criterion: strings.TrimSpace(in.Criterion)}
	if _, pattern := d.Step(in.After); pattern != nil {
		l.Pattern = pattern.Clone()
		l.Pattern.Name, l.Pattern.Label = "", ""
	}
	l.Pattern.Name = e.Line("name", in.Name, newel.MaxName, false)
	if text := strings.TrimSpace(in.From); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			e.Add("from", "program.number", "typed", text, "most", 1000)
		}
		l.From = n
	}
	if l.Criterion != "" {
		if _, err := criterion.Parse(l.Criterion, criterion.Vocabulary{HelpLevels: d.HelpNames(), Targets: lines}); err != nil {
			e.AddUnreadable("criterion", err)
		}
	}
	amounts := amountsOf(in.Kind, lines, &e)
	if err := e.OrNil(); err != nil {
		return nil, err
	}
	steps := runOf(l, in, lines, amounts)
	if len(steps) == 0 {
		e.Add("kind", "ladder.kind")
	}
	return steps, e.OrNil()
}

// maxRungs is the maximum number of steps in one series.
const maxRungs = 40

func amountsOf(kind string, lines []string, e *newel.Invalid) []float64 {
	var out []float64
	if kind != "rising" {
		return nil
	}
	for _, line := range lines {
		n, err := strconv.ParseFloat(line, 64)
		if err != nil || !(n > 0 && n < 100_000) {
			e.Add("lines", "ladder.amount", "typed", line)
			return nil
		}
		out = append(out, n)
	}
	return out
}

func runOf(l Ladder, in LadderInput, lines []string, amounts []float64) []program.Step {
	switch in.Kind {
	case "discrimination":
		return l.Discrimination(lines, DefaultBlocks)
	case "massed":
		return l.Massed(lines[0])
	case "next":
		return l.Next(lines[0], lines[1:])
	case "blocks":
		return l.Blocks(lines, DefaultBlocks)
	case "rotation":
		return l.Rotation(lines)
	case "forward":
		return l.Chain(program.ForwardChain, lines)
	case "backward":
		return l.Chain(program.BackwardChain, lines)
	case "whole":
		return l.Chain(program.TotalTask, lines)
	case "less_help":
		return l.LessHelp(lines)
	case "rising":
		unit := Seconds
		for _, u := range []Unit{Minutes, Times} {
			if in.Unit == string(u) {
				unit = u
			}
		}
		return l.Rising(amounts, unit)
	case "people":
		return l.Generalize(ByPeople, lines)
	case "place":
		return l.Generalize(ByPlace, lines)
	case "material":
		return l.Generalize(ByMaterial, lines)
	}
	return nil
}

func linesOf(text string) []string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		if line = program.Normalize(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
