package app

import (
	"context"
	"strconv"
	"strings"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/writing"
)

// LadderKinds lists the runs of steps that can be made in one go.
var LadderKinds = []string{
	"discrimination", "massed", "next", "blocks", "rotation", "forward", "backward", "whole", "less_help", "rising", "people", "place", "material",
}

// LadderInput is a run of steps to be made, as typed.
type LadderInput struct {
	Strand, After string // keys: where it goes
	Kind          string
	Lines         string // targets, links, rungs, levels or amounts, one a line
	Unit          string // of a rising run
	Name          string // what all steps have in common
	Letter        string // before the numbers of the labels
	From          string
	Criterion     string // of all; empty: what is usual
}

// LadderView is a run about to be put in.
type LadderView struct {
	Program program.Program
	Rev     int
	Lines   string // what the fields begin with
	Title   string // of the step behind which it goes
	Next    string // the label that follows that step's; empty if none does
	Steps   []program.Step
}

// Ladder makes a run of steps without putting it anywhere.
func (a *App) Ladder(ctx context.Context, actor newel.Actor, id newel.ProgramID, in LadderInput) (v LadderView, err error) {
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		draft, err := tx.Draft(ctx, id)
		if err != nil {
			return err
		}
		v.Rev, v.Title, v.Lines = draft.Rev, draft.Document.StepTitle(in.After), in.Lines
		if _, after := draft.Document.Step(in.After); after != nil {
			v.Next = program.NextLabel(after.Label)
		}
		if v.Lines == "" && in.Kind == "less_help" {
			v.Lines = strings.Join(draft.Document.HelpNames(), "\n")
		}
		if v.Lines == "" && in.Kind == "people" {
			v.Lines = strings.Join(writing.UsualPeople, "\n")
		}
		in.Lines = v.Lines
		if in.Kind == "" || strings.TrimSpace(in.Lines) == "" {
			return nil
		}
		v.Steps, err = ladderSteps(&draft.Document, in)
		return err
	})
	return v, err
}

// InsertLadder puts a run of steps into the draft and leads to its first.
func (a *App) InsertLadder(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in LadderInput) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		draft, err := tx.LockDraft(ctx, id)
		if err != nil {
			return "", err
		}
		document := draft.Document.Clone()
		steps, err := ladderSteps(&document, in)
		if err != nil {
			return "", err
		}
		if !document.InsertSteps(in.Strand, in.After, steps...) {
			return "", newel.ErrConflict // the step behind which it was to go has gone
		}
		if err := putDraft(ctx, tx, draft, document, "ladder:"); err != nil {
			return "", err
		}
		return href.DraftStep(id, steps[0].Key) + "#f-" + program.StepField(steps[0].Key, "name"), nil
	})
}

func ladderSteps(d *program.Document, in LadderInput) ([]program.Step, error) {
	var e newel.Invalid
	lines := linesOf(in.Lines)
	if len(lines) == 0 {
		e.Add("lines", "ladder.lines")
	}
	if len(lines) > maxRungs {
		e.Add("lines", "ladder.too_many", "limit", maxRungs)
	}
	l := writing.Ladder{Letter: e.Line("letter", in.Letter, 6, false), Criterion: strings.TrimSpace(in.Criterion)}
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

// maxRungs bounds one run.
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

func runOf(l writing.Ladder, in LadderInput, lines []string, amounts []float64) []program.Step {
	switch in.Kind {
	case "discrimination":
		return l.Discrimination(lines, writing.UsualBlocks)
	case "massed":
		return l.Massed(lines[0])
	case "next":
		return l.Next(lines[0], lines[1:])
	case "blocks":
		return l.Blocks(lines, writing.UsualBlocks)
	case "rotation":
		return l.Rotation(lines)
	case "forward":
		return l.Chain(writing.Forward, lines)
	case "backward":
		return l.Chain(writing.Backward, lines)
	case "whole":
		return l.Chain(writing.Whole, lines)
	case "less_help":
		return l.LessHelp(lines)
	case "rising":
		unit := writing.Seconds
		for _, u := range []writing.Unit{writing.Minutes, writing.Times} {
			if in.Unit == string(u) {
				unit = u
			}
		}
		return l.Rising(amounts, unit)
	case "people":
		return l.Generalize(writing.ByPeople, lines)
	case "place":
		return l.Generalize(writing.ByPlace, lines)
	case "material":
		return l.Generalize(writing.ByMaterial, lines)
	}
	return nil
}

func linesOf(text string) []string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		if line = program.AsKept(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
