package demo

import (
	"context"
	_ "embed" // the trainee's draft
	"fmt"
	"path"
	"slices"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/program"
)

// confirmed is what a person who signs off a program has confirmed.
const confirmed = "Nothing in this program restrains or hurts the child, or withholds food, rest, the toilet or comfort."

// unreviewed begins the line in a starter that says no one has reviewed it yet.
const unreviewed = "Invented example."

// taught are the starters that the clinic began with, by name.
var taught = []string{
	"asking-for-a-break", "bakery", "fine-either-way", "memory-pairs", "swimming-bag",
	"toothbrush", "two-step-directions", "waiting", "washing-hands", "which-cup",
}

// inTraining is the trainee's draft.
//
//go:embed answering-the-door.yaml
var inTraining []byte

// scales are the clinic's prompt hierarchies.
var scales = []app.HelpScaleInput{
	{Name: "From the lightest", Levels: "point\nsay\nshow\nlight touch (touch)\nhand under hand (touch)"},
	{Name: "Without touch", Levels: "point\nsay\nshow"},
}

// library publishes the programs: started from starters, read through, and
// signed off after the line that asks for a review has been removed.
func (s *seeder) library(ctx context.Context) error {
	for _, scale := range scales {
		if _, err := s.app.AddHelpScale(ctx, s.lead, app.NewForm(), scale); err != nil {
			return fmt.Errorf("%s: %w", scale.Name, err)
		}
	}
	for _, name := range taught {
		location, err := s.app.BeginFromStarter(ctx, s.lead, app.NewForm(), name)
		if err == nil && name == "swimming-bag" {
			err = s.illustrate(ctx, location)
		}
		if err == nil {
			s.programs[name], err = s.signedOff(ctx, location)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return s.skillAreas(ctx)
}

func (s *seeder) signedOff(ctx context.Context, location string) (newel.ProgramID, error) {
	id, in, err := s.begun(ctx, s.lead, location)
	if err != nil {
		return id, err
	}
	cautions := strings.Split(in.Sheet.Fields["cautions"], "\n")
	in.Sheet.Fields["cautions"] = strings.Join(slices.DeleteFunc(cautions, func(line string) bool { return strings.HasPrefix(line, unreviewed) }), "\n")
	in.Confirmed = confirmed
	_, err = s.app.Publish(ctx, s.lead, app.NewForm(), id, in)
	return id, err
}

// drafts submits the trainee's drafts, a few days ago.
func (s *seeder) drafts(ctx context.Context) error {
	s.clock.at = s.today.AddDate(0, 0, -3)
	trainee, err := s.app.ActorOfSignIn(ctx, s.staff["trainee"])
	if err != nil {
		return err
	}
	location, err := s.app.Import(ctx, trainee, app.NewForm(), inTraining)
	if err != nil {
		return err
	}
	id, in, err := s.begun(ctx, trainee, location)
	if err == nil {
		_, err = s.app.SubmitDraft(ctx, trainee, app.NewForm(), id, in)
	}
	return err
}

// begun returns the editor content of a program that was just started.
func (s *seeder) begun(ctx context.Context, author newel.Actor, location string) (id newel.ProgramID, in app.DraftInput, err error) {
	id, err = newel.ParseID[newel.ProgramID](path.Base(path.Dir(location)))
	if err != nil {
		return id, in, err
	}
	draft, err := s.app.Draft(ctx, author, id)
	return id, app.DraftInput{Rev: draft.Draft.Rev, Sheet: draft.Draft.Document.Sheet()}, err
}

// revise publishes the next version of a program with a change.
func (h *home) revise(ctx context.Context, file string, change func(*program.Document)) error {
	id := h.programs[file]
	if _, err := h.app.BeginDraft(ctx, h.supervisor, app.NewForm(), id); err != nil {
		return err
	}
	draft, err := h.app.Draft(ctx, h.supervisor, id)
	if err != nil {
		return err
	}
	document := draft.Draft.Document.Clone()
	change(&document)
	in := app.DraftInput{Rev: draft.Draft.Rev, Sheet: document.Sheet(), Confirmed: confirmed}
	_, err = h.app.Publish(ctx, h.supervisor, app.NewForm(), id, in)
	return err
}

// sameBrush makes the change of the second version of the toothbrush program.
func sameBrush(d *program.Document) {
	d.Materials[0] = program.Material{Text: "the same soft children's toothbrush in both homes", Caution: "buy two of the same kind"}
	d.Difficulties[2].Answer = "Compare brush, toothpaste, time and light. A stiffer brush in one home can make it hard."
}

// breakEveryTime makes the change of the second version of asking for a break.
func breakEveryTime(d *program.Document) {
	d.Checklist = []string{
		"Materials ready", "Child willing", "Instruction given once", "Waited as planned", "Planned prompts only", "Break given every time", "Data recorded",
	}
	d.Procedure.IfRight = "Say “Break! Good asking.” The break comes first. It lasts one minute, every time, even when you are in a hurry."
}

// paperBags makes the change of the second version of the bakery program: a
// step in between, with bags and money as in the shop.
func paperBags(d *program.Document) {
	strand, before := d.Step("a3")
	step := *before
	step.Key, step.Label, step.Name = "a3b", "C2", "Pretend bakery, set up like the real one"
	step.Context = "at home, with paper bags, an apron, noise from a phone, a counter as high as the real one"
	step.Fits = program.Fits{Materials: "paper bags, an apron, noise, a high counter"}
	step.Targets = nil
	for _, t := range before.Targets {
		step.Targets = append(step.Targets, program.Target{Key: program.NewKey(), Name: t.Name})
	}
	strand.Steps = append(strand.Steps[:3:3], append([]program.Step{step}, strand.Steps[3:]...)...)
}
