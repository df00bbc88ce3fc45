package app

import (
	"context"
	"errors"
	"fmt"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/timezone"
)

// AssignView is what the page for assigning a program needs.
type AssignView struct {
	Learner  newel.Learner
	Skills   LearnerSkills
	Missing  []string // message keys; empty if the learner is ready
	Programs []program.Summary
	Has      map[newel.ProgramID]bool // already being taught
	Starts   map[newel.ProgramID]FirstStart
}

// AssignForm returns what can be assigned to the learner, or what is missing.
func (a *App) AssignForm(ctx context.Context, actor newel.Actor, learner newel.LearnerID) (v AssignView, err error) {
	err = a.act(ctx, actor, newel.AssignProgram, func(tx *postgres.Tx) error {
		if v.Learner, err = tx.Learner(ctx, learner); err != nil {
			return err
		}
		consents, err := tx.Consents(ctx, learner)
		if err != nil {
			return err
		}
		v.Missing = newel.ReadyToAssign(v.Learner.Care, consents)
		assigned, err := tx.Assignments(ctx, learner)
		if err != nil {
			return err
		}
		v.Has = map[newel.ProgramID]bool{}
		for _, x := range assigned {
			if x.State != newel.AssignmentFinished {
				v.Has[x.ProgramID] = true
			}
		}
		if v.Skills, err = learnerSkills(ctx, tx, learner); err != nil {
			return err
		}
		programs, err := tx.Programs(ctx)
		for _, p := range programs {
			if p.Number > 0 && p.ArchivedAt == nil {
				v.Programs = append(v.Programs, p)
			}
		}
		if err != nil {
			return err
		}
		v.Starts, err = firstStarts(ctx, tx, v.Learner)
		return err
	})
	return v, err
}

// AssignInput assigns a program to a learner. WithoutTouch removes prompts that
// touch the child for this learner. AllTheSame confirms that the learner may
// lack required skills.
type AssignInput struct {
	Program      string
	WithoutTouch bool
	AllTheSame   bool
}

// Assign assigns the latest version of a program to the learner and opens a
// placement in each strand that is open from the start. It returns the location
// of the learner's page.
func (a *App) Assign(ctx context.Context, actor newel.Actor, form Form, learner newel.LearnerID, in AssignInput) (string, error) {
	return a.once(ctx, actor, newel.AssignProgram, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, learner)
		if err != nil {
			return "", err
		}
		version, lacking, err := a.assignable(ctx, tx, l, in)
		if err != nil {
			return "", err
		}
		s := newel.Assignment{
			ID: newel.NewID[newel.AssignmentID](), FamilyID: l.FamilyID, LearnerID: l.ID,
			ProgramID: version.ProgramID, State: newel.AssignmentActive,
		}
		if err := tx.AddAssignment(ctx, s); err != nil {
			return "", err
		}
		if _, err := a.openStrands(ctx, tx, s, version, nil, nil); err != nil {
			return "", err
		}
		entry := "teaching.assigned"
		if lacking {
			entry = "teaching.assigned_all_the_same"
		}
		return href.Learner.To(l.ID), tx.Note(ctx, entry, l.FamilyID, s.ID.UUID)
	})
}

// assignable returns the version to assign, or an *newel.Invalid with
// everything that is missing. lacking reports that the learner lacks required
// skills and the form confirmed it.
func (a *App) assignable(ctx context.Context, tx *postgres.Tx, l newel.Learner, in AssignInput) (version program.Version, lacking bool, err error) {
	var e newel.Invalid
	consents, err := tx.Consents(ctx, l.ID)
	if err != nil {
		return version, false, err
	}
	for _, key := range newel.ReadyToAssign(l.Care, consents) {
		e.Add("learner", key)
	}
	version, err = chosenVersion(ctx, tx, in.Program)
	if errors.Is(err, newel.ErrNotFound) {
		e.Add("program", "assign.choose")
		return version, false, e.OrNil()
	}
	if err != nil {
		return version, false, err
	}
	if err := checkNotAssigned(ctx, tx, l.ID, version.ProgramID, &e); err != nil {
		return version, false, err
	}
	checkTouch(l.Care, version.Document, in.WithoutTouch, &e)
	if lacking, err = checkSkills(ctx, tx, l.ID, version, in.AllTheSame, &e); err != nil {
		return version, false, err
	}
	return version, lacking, e.OrNil()
}

func chosenVersion(ctx context.Context, tx *postgres.Tx, text string) (program.Version, error) {
	prog, err := newel.ParseID[newel.ProgramID](text)
	if err != nil {
		return program.Version{}, err
	}
	return tx.LatestVersion(ctx, prog)
}

func checkNotAssigned(ctx context.Context, tx *postgres.Tx, learner newel.LearnerID, program newel.ProgramID, e *newel.Invalid) error {
	has, err := tx.Assignments(ctx, learner)
	for _, x := range has {
		if x.ProgramID == program && x.State != newel.AssignmentFinished {
			e.Add("program", "assign.already")
		}
	}
	return err
}

// checkTouch rejects prompts that touch the child unless this learner's care
// allows them. A step that plans or counts such a prompt makes no sense without
// it.
func checkTouch(care newel.Care, d program.Document, without bool, e *newel.Invalid) {
	if care.TouchAllowed || !d.HasTouch() {
		return
	}
	for _, s := range d.Strands {
		for i := range s.Steps {
			step := &s.Steps[i]
			c, err := criterion.Parse(step.Criterion, d.Vocabulary(step))
			if d.Touches(step.PlannedHelp) || err == nil && d.Touches(c.Goal.Level) {
				e.Add("program", "assign.touch_needed", "step", d.StepTitle(step.Key))
				return
			}
		}
	}
	if !without {
		e.Add("without_touch", "assign.touch_not_allowed")
	}
}

// openStrands opens the first step of every strand that has not been started
// and whose conditions are met. It returns the new placements.
func (a *App) openStrands(ctx context.Context, tx *postgres.Tx, s newel.Assignment, v program.Version, started, met map[string]bool) ([]newel.Placement, error) {
	var opened []newel.Placement
	for i := range v.Document.Strands {
		strand := &v.Document.Strands[i]
		if started[strand.Key] || len(strand.Steps) == 0 || !strand.OpensAfter(met) {
			continue
		}
		p, err := a.openPlacement(ctx, tx, s, v, strand, &strand.Steps[0])
		if err != nil {
			return nil, err
		}
		opened = append(opened, p)
	}
	return opened, nil
}

// openPlacement starts a placement on a step, with the assignment's overrides
// and the criterion in canonical words.
func (a *App) openPlacement(ctx context.Context, tx *postgres.Tx, s newel.Assignment, v program.Version, strand *program.Strand, step *program.Step) (newel.Placement, error) {
	family, err := tx.Family(ctx, s.FamilyID)
	if err != nil {
		return newel.Placement{}, err
	}
	own := step.With(s.Overrides[step.Key])
	crit, back, err := canonicalRules(&v.Document, &own)
	if err != nil {
		return newel.Placement{}, err
	}
	p := newel.Placement{
		ID: newel.NewID[newel.PlacementID](), FamilyID: s.FamilyID, AssignmentID: s.ID, VersionID: v.ID,
		StepKey: step.Key, StrandKey: strand.Key, Criterion: crit, StepBack: back, PlannedHelp: step.PlannedHelp,
		BeganAt: tx.Now(), BeganOn: newel.DayOf(tx.Now(), timezone.OrUTC(family.TimeZone)),
	}
	if err := tx.AddPlacement(ctx, p); err != nil {
		return p, err
	}
	return p, a.evaluateAgain(ctx, tx, p.ID) // the reading says from when it will be idle
}

func canonicalRules(d *program.Document, step *program.Step) (crit, back string, err error) {
	c, err := criterion.Parse(step.Criterion, d.Vocabulary(step))
	if err != nil {
		return "", "", fmt.Errorf("criterion of step %s: %w", step.Key, err)
	}
	if step.StepBack == "" {
		return c.String(), "", nil
	}
	b, err := criterion.ParseStepBack(step.StepBack, d.Vocabulary(step))
	if err != nil {
		return "", "", fmt.Errorf("step-back rule of step %s: %w", step.Key, err)
	}
	return c.String(), b.String(), nil
}
