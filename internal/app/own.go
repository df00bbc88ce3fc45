package app

import (
	"context"
	"maps"
	"strconv"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// OwnInput holds changes to a step for one learner. Fields that are empty or
// equal the program's keep the program's value.
type OwnInput struct {
	Say, Criterion, StepBack, Trials string

	Reason    string // for the clinic only
	ForFamily string // what the family reads
	After     string // id of the latest decision that the page showed, or empty
}

// SetOwn changes texts, numbers and rules of a placement's step for one
// learner, and stores the reason as a decision. If the step is then taught or
// judged differently, the placement ends and a new one starts on the same step;
// a different number of trials alone does not cause that.
func (a *App) SetOwn(ctx context.Context, actor newel.Actor, form Form, id newel.PlacementID, in OwnInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.LockPlacement(ctx, id); err != nil {
			return "", err
		}
		c, err := a.deciderOf(ctx, tx, id)
		if err != nil {
			return "", err
		}
		if err := c.undecided(in.After); err != nil {
			return "", err
		}
		d, err := c.decision(DecisionInput{Kind: newel.DecisionRevise, Reason: in.Reason, ForFamily: in.ForFamily})
		if err != nil {
			return "", err
		}
		if err := c.setOwn(ctx, tx, d, in); err != nil {
			return "", err
		}
		if c.continueAt == "" {
			c.continueAt = href.Placement.To(id)
		}
		return c.continueAt, tx.Note(ctx, "teaching.own_words", d.FamilyID, d.ID.UUID)
	})
}

func (c *decider) setOwn(ctx context.Context, tx *postgres.Tx, d newel.Decision, in OwnInput) error {
	_, step := c.version.Document.Step(c.placement.StepKey)
	if step == nil {
		return errNoStep
	}
	before := c.assignment.Overrides[step.Key]
	own, err := c.own(step, in)
	if err != nil {
		return err
	}
	was, is := step.With(before), step.With(own)
	if was.Say == is.Say && was.Criterion == is.Criterion && was.StepBack == is.StepBack && was.Trials == is.Trials {
		var e newel.Invalid
		e.Add("say", "own.nothing_changed")
		return e.OrNil()
	}
	all := maps.Clone(c.assignment.Overrides)
	if all == nil {
		all = map[string]newel.StepOverride{}
	}
	if all[step.Key] = own; own == (newel.StepOverride{}) {
		delete(all, step.Key)
	}
	if err := tx.SetOverrides(ctx, c.assignment.ID, all); err != nil {
		return err
	}
	c.assignment.Overrides = all
	if was.Say == is.Say && was.Criterion == is.Criterion && was.StepBack == is.StepBack {
		return tx.AddDecision(ctx, d)
	}
	if err := c.move(ctx, tx, d, step, false); err != nil {
		return err
	}
	placements, err := tx.Placements(ctx, c.assignment.ID)
	for _, p := range placements {
		if p.StepKey == step.Key && p.EndedAt == nil {
			c.continueAt = href.Placement.To(p.ID)
		}
	}
	return err
}

// own compares the form with the step, and checks the resulting step as for
// publishing.
func (c *decider) own(step *program.Step, in OwnInput) (o newel.StepOverride, err error) {
	var e newel.Invalid
	differs := func(field, text, programs string) *string {
		text = e.Text(field, text, newel.MaxNote, false)
		if text == "" || text == programs {
			return nil
		}
		return &text
	}
	o.Say = differs("say", in.Say, step.Say)
	o.Criterion = differs("criterion", in.Criterion, step.Criterion)
	o.StepBack = differs("step_back", in.StepBack, step.StepBack)
	if text := strings.TrimSpace(in.Trials); text != "" && text != strconv.Itoa(step.Trials) {
		n, err := strconv.Atoi(text)
		if err != nil {
			e.Add("trials", "own.whole")
		}
		o.Trials = &n
	}
	if err := e.OrNil(); err != nil {
		return o, err
	}
	document, err := copied(c.version.Document)
	if err != nil {
		return o, err
	}
	_, its := document.Step(step.Key)
	*its = its.With(o)
	for _, f := range document.Check() {
		if field, is := strings.CutPrefix(f.Field, program.StepField(step.Key, "")); is && f.Severity == program.BlocksPublishing {
			e.Problems = append(e.Problems, newel.Problem{Field: field, Key: f.Key, Args: f.Args})
		}
	}
	return o, e.OrNil()
}
