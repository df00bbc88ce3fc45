package app

import (
	"context"
	"fmt"
	"slices"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
)

// DecisionInput is a supervisor's decision about a placement.
type DecisionInput struct {
	Kind       newel.DecisionKind
	To         string        // step back: the key of the target step
	Steps      []SmallerStep // branch: the smaller steps
	Reason     string        // for the clinic only
	ForFamily  string        // what the family reads
	Expected   string
	ExpectedBy string // a date, or empty
	Agreed     string // lift: what was agreed, in one line
	AgreedOn   string // lift: on which date
	No         string // lift: newel.LastNo.Mark, as the page showed it
	After      string // id of the latest decision that the page showed, or empty
	Back       string // location to return; empty for the placement's page
}

// DecidedMeanwhile reports that someone else decided about the placement first.
type DecidedMeanwhile struct {
	Placement newel.PlacementID
	Decision  newel.DecisionRow
	StepTitle string // of the step that it moved to, if any
}

// Error describes the other decision.
func (e *DecidedMeanwhile) Error() string {
	return fmt.Sprintf("decided meanwhile: %s", e.Decision.ID)
}

// Unwrap returns ErrConflict.
func (e *DecidedMeanwhile) Unwrap() error { return newel.ErrConflict }

// Decide records a decision about a placement and carries it out. Of two
// concurrent decisions, the second returns a *DecidedMeanwhile.
func (a *App) Decide(ctx context.Context, actor newel.Actor, form Form, id newel.PlacementID, in DecisionInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		if err := lockDecided(ctx, tx, id, in.Kind); err != nil {
			return "", err
		}
		c, err := a.deciderOf(ctx, tx, id)
		if err != nil {
			return "", err
		}
		if err := c.undecided(in.After); err != nil {
			return "", err
		}
		if in.Kind == newel.DecisionRevise {
			if c.latest, err = tx.LatestVersion(ctx, c.version.ProgramID); err != nil {
				return "", err
			}
		}
		if in.Kind.HelpStep() != 0 {
			if c.learner, err = tx.Learner(ctx, c.assignment.LearnerID); err != nil {
				return "", err
			}
		}
		if in.Kind == newel.DecisionLift {
			if c.stopped, err = stoppedOf(ctx, tx, c.assignment); err != nil {
				return "", err
			}
		}
		d, err := c.decision(in)
		if err != nil {
			return "", err
		}
		if err := c.carryOut(ctx, tx, d, in); err != nil {
			return "", err
		}
		if err := tx.Note(ctx, "decision."+string(d.Kind), d.FamilyID, d.ID.UUID); err != nil {
			return "", err
		}
		switch {
		case c.continueAt != "":
			return c.continueAt, nil
		case in.Back != "":
			return in.Back, nil
		}
		return href.Placement.To(id), nil
	})
}

// lockDecided locks the placement, and all placements of the assignment if the
// decision affects them.
func lockDecided(ctx context.Context, tx *postgres.Tx, id newel.PlacementID, kind newel.DecisionKind) error {
	if kind == newel.DecisionRevise || kind == newel.DecisionFinish {
		p, err := tx.Placement(ctx, id)
		if err != nil {
			return err
		}
		if err := lockStays(ctx, tx, p.AssignmentID); err != nil {
			return err
		}
	}
	return tx.LockPlacement(ctx, id)
}

// decider holds everything that a decision about a placement depends on,
// locked.
type decider struct {
	app        *App
	placement  newel.Placement
	assignment newel.Assignment
	version    program.Version
	placements []newel.Placement // of the assignment, oldest first
	decisions  []newel.DecisionRow
	reading    *newel.Reading
	said       criterion.Reading
	latest     program.Version // for a revision: the latest published version
	learner    newel.Learner   // for more or less help
	stopped    stopped         // for lifting the pause after a no
	continueAt string          // location set by the decision, if any
}

func (a *App) deciderOf(ctx context.Context, tx *postgres.Tx, id newel.PlacementID) (c *decider, err error) {
	c = &decider{app: a}
	if c.placement, err = tx.Placement(ctx, id); err != nil {
		return nil, err
	}
	if c.assignment, err = tx.LockAssignment(ctx, c.placement.AssignmentID); err != nil {
		return nil, err
	}
	// Read it again: another transaction may have changed it before the lock
	// was granted.
	if c.placement, err = tx.Placement(ctx, id); err != nil {
		return nil, err
	}
	if c.version, err = tx.VersionOf(ctx, id); err != nil {
		return nil, err
	}
	if c.placements, err = tx.Placements(ctx, c.assignment.ID); err != nil {
		return nil, err
	}
	if c.decisions, err = tx.Decisions(ctx, c.assignment.ID); err != nil {
		return nil, err
	}
	kept, err := tx.Reading(ctx, id)
	if err == nil {
		c.reading, c.said = &kept, reading.DecodeReading(kept.Body)
	}
	return c, ignore(err, newel.ErrNotFound)
}

// open reports whether the placement can be decided about.
func (c *decider) open() bool {
	return c.placement.EndedAt == nil && c.assignment.State != newel.AssignmentFinished
}

// undecided returns a *DecidedMeanwhile if the placement has ended or has a
// decision that the page did not show.
func (c *decider) undecided(after string) error {
	i := slices.IndexFunc(c.decisions, func(d newel.DecisionRow) bool { return d.PlacementID == c.placement.ID })
	open := c.open()
	if i < 0 {
		if !open {
			return newel.ErrConflict
		}
		return nil
	}
	latest := c.decisions[i]
	if open && latest.ID.String() == after {
		return nil
	}
	e := &DecidedMeanwhile{Placement: c.placement.ID, Decision: latest}
	for _, p := range c.placements {
		if latest.NextPlacement != nil && p.ID == *latest.NextPlacement {
			e.StepTitle = c.version.Document.StepTitle(p.StepKey)
		}
	}
	return e
}

// decision validates the input.
func (c *decider) decision(in DecisionInput) (newel.Decision, error) {
	var e newel.Invalid
	d := newel.Decision{
		ID: newel.NewID[newel.DecisionID](), FamilyID: c.placement.FamilyID, PlacementID: c.placement.ID, Kind: in.Kind,
		Reason:    e.Text("reason", in.Reason, newel.MaxNote, c.wantsReason(in.Kind)),
		ForFamily: e.Text("for_family", in.ForFamily, newel.MaxNote, false),
		Expected:  e.Text("expected", in.Expected, newel.MaxNote, false),
	}
	if in.ExpectedBy != "" {
		day, err := newel.ParseDay(in.ExpectedBy)
		if err != nil {
			e.Add("expected_by", "field.date", "example", "2026-03-16")
		}
		d.ExpectedBy = day
	}
	if c.reading != nil {
		d.Reading, d.Answered = c.reading.Body, c.reading.Gist
	}
	if in.Kind.HelpStep() != 0 {
		d.Help, _ = c.helpTo(in.Kind)
	}
	if in.Kind == newel.DecisionLift {
		d.Reason, d.Expected, d.ExpectedBy = "", "", newel.Day{}
		return c.lifting(in, d)
	}
	c.checkKind(in, &e)
	return d, e.OrNil()
}

// wantsReason reports whether the decision needs a reason, which it does not if
// the reading itself justifies it.
func (c *decider) wantsReason(kind newel.DecisionKind) bool {
	switch kind {
	case newel.DecisionHold, newel.DecisionStepBack, newel.DecisionPause, newel.DecisionFinish, newel.DecisionBranch:
		return true
	case newel.DecisionRevise:
		return !c.takesOver()
	case newel.DecisionAdvance:
		return c.said.Status != criterion.StatusMet
	case newel.DecisionLessHelp, newel.DecisionMoreHelp:
		return !c.ruleForHelp(kind)
	}
	return false
}

func (c *decider) checkKind(in DecisionInput, e *newel.Invalid) {
	paused, resting := c.assignment.State == newel.AssignmentPaused, c.assignment.State == newel.AssignmentResting
	switch in.Kind {
	case newel.DecisionAdvance, newel.DecisionHold, newel.DecisionSeen, newel.DecisionFinish, newel.DecisionRevise:
	case newel.DecisionBranch:
		c.checkBranch(in.Steps, e)
	case newel.DecisionLessHelp, newel.DecisionMoreHelp:
		c.checkHelp(in.Kind, e)
	case newel.DecisionStepBack:
		if !slices.ContainsFunc(c.earlier(), func(s program.Step) bool { return s.Key == in.To }) {
			e.Add("to", "decide.no_earlier_step")
		}
	case newel.DecisionPause:
		if resting {
			e.Add("kind", "stop.paused_already")
		} else if paused {
			e.Add("kind", "decide.paused_already")
		}
	case newel.DecisionResume:
		if resting {
			e.Add("kind", "stop.lift_first")
		} else if !paused {
			e.Add("kind", "decide.not_paused")
		}
	default:
		e.Add("kind", "decide.choose")
	}
}

// earlier lists the steps before the placement's in its strand.
func (c *decider) earlier() []program.Step {
	strand, _ := c.version.Document.Step(c.placement.StepKey)
	if strand == nil {
		return nil
	}
	i := slices.IndexFunc(strand.Steps, func(s program.Step) bool { return s.Key == c.placement.StepKey })
	return strand.Steps[:i]
}

func (c *decider) carryOut(ctx context.Context, tx *postgres.Tx, d newel.Decision, in DecisionInput) error {
	switch d.Kind {
	case newel.DecisionAdvance:
		next := c.version.Document.Following(c.placement.StepKey)
		return c.move(ctx, tx, d, next, true)
	case newel.DecisionStepBack:
		_, step := c.version.Document.Step(in.To)
		return c.move(ctx, tx, d, step, false)
	case newel.DecisionRevise:
		return c.revise(ctx, tx, d)
	case newel.DecisionBranch:
		return c.branch(ctx, tx, d, in.Steps)
	case newel.DecisionFinish:
		return c.finish(ctx, tx, d)
	case newel.DecisionPause:
		return c.stay(ctx, tx, d, newel.AssignmentPaused)
	case newel.DecisionResume:
		return c.stay(ctx, tx, d, newel.AssignmentActive)
	case newel.DecisionLessHelp, newel.DecisionMoreHelp:
		return c.moveHelp(ctx, tx, d)
	case newel.DecisionLift:
		return c.lift(ctx, tx, d)
	}
	return tx.AddDecision(ctx, d)
}

// stay records a pause, or its end, which leave the placement open.
func (c *decider) stay(ctx context.Context, tx *postgres.Tx, d newel.Decision, state newel.AssignmentState) error {
	if err := tx.AddDecision(ctx, d); err != nil {
		return err
	}
	if err := c.set(ctx, tx, state); err != nil {
		return err
	}
	return c.app.evaluateAgain(ctx, tx, c.placement.ID) // paused days do not count as idle
}

func (c *decider) set(ctx context.Context, tx *postgres.Tx, state newel.AssignmentState) error {
	if c.assignment.State == state {
		return nil
	}
	return tx.SetAssignmentState(ctx, c.assignment.ID, state)
}

// move closes the placement, opens one on the next step of its strand, if any,
// and opens every strand whose conditions are now met. Advancing from the last
// step with nothing left to open finishes the assignment.
func (c *decider) move(ctx context.Context, tx *postgres.Tx, d newel.Decision, next *program.Step, met bool) error {
	if err := tx.EndPlacement(ctx, c.placement.ID); err != nil {
		return err
	}
	open := c.othersOpen()
	if next != nil {
		strand, _ := c.version.Document.Step(next.Key)
		p, err := c.app.openPlacement(ctx, tx, c.assignment, c.version, strand, next)
		if err != nil {
			return err
		}
		d.NextPlacement, open = &p.ID, open+1
	}
	if met {
		opened, err := c.app.openStrands(ctx, tx, c.assignment, c.version, c.started(), c.met())
		if err != nil {
			return err
		}
		if len(opened) > 0 && d.NextPlacement == nil {
			d.NextPlacement = &opened[0].ID
		}
		open += len(opened)
	}
	if err := tx.AddDecision(ctx, d); err != nil {
		return err
	}
	if open == 0 {
		return c.set(ctx, tx, newel.AssignmentFinished)
	}
	return nil
}

// finish ends the assignment and all its open placements.
func (c *decider) finish(ctx context.Context, tx *postgres.Tx, d newel.Decision) error {
	for _, p := range c.placements {
		if p.EndedAt != nil {
			continue
		}
		if err := tx.EndPlacement(ctx, p.ID); err != nil {
			return err
		}
		each := d
		if p.ID != c.placement.ID {
			var err error
			if each, err = decisionFor(ctx, tx, d, p.ID); err != nil {
				return err
			}
		}
		if err := tx.AddDecision(ctx, each); err != nil {
			return err
		}
	}
	return c.set(ctx, tx, newel.AssignmentFinished)
}

func (c *decider) othersOpen() int {
	n := 0
	for _, p := range c.placements {
		if p.EndedAt == nil && p.ID != c.placement.ID {
			n++
		}
	}
	return n
}

func (c *decider) started() map[string]bool {
	started := map[string]bool{}
	for _, p := range c.placements {
		started[p.StrandKey] = true
	}
	return started
}

// met returns the steps that were left by an advance, including the current
// one.
func (c *decider) met() map[string]bool {
	met := reading.MetSteps(c.placements, c.decisions)
	met[c.placement.StepKey] = true
	return met
}
