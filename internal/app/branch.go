package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// SmallerStep is one of the smaller steps that replace a step. Empty fields
// keep the step's values.
type SmallerStep struct{ Label, Name, DoneWhen, Criterion string }

// blank reports whether nothing was typed.
func (s SmallerStep) blank() bool { return strings.TrimSpace(s.Label+s.Name+s.DoneWhen) == "" }

// How many steps may replace one.
const (
	minSmallerSteps = 2
	MaxSmallerSteps = 6
)

// SmallerStepField names a field of the n-th smaller step in the form, from 0.
func SmallerStepField(n int, name string) string { return "thin." + strconv.Itoa(n) + "." + name }

// checkBranch reports the problems of the smaller steps, by field.
func (c *decider) checkBranch(steps []SmallerStep, e *newel.Invalid) {
	document, fields, err := c.withSmallerSteps(steps)
	if err != nil {
		e.Add("kind", "decide.branch_impossible")
		return
	}
	if len(fields) < minSmallerSteps {
		e.Add("thin", "decide.branch_two", "least", minSmallerSteps, "most", MaxSmallerSteps)
		return
	}
	for _, f := range document.Check() {
		if f.Severity != program.BlocksPublishing {
			continue
		}
		field := "thin" // a clash that the other step reports
		for key, n := range fields {
			if name, is := strings.CutPrefix(f.Field, program.StepField(key, "")); is {
				field = SmallerStepField(n, name)
			}
		}
		e.Problems = append(e.Problems, newel.Problem{Field: field, Key: f.Key, Args: f.Args})
	}
}

var errNoStep = errors.New("the step is not in the version")

// withSmallerSteps returns the placement's version with its step replaced by
// the smaller steps, and the form number of each new key. References to the
// step are updated: whatever waited for it now waits for the last smaller step.
func (c *decider) withSmallerSteps(steps []SmallerStep) (program.Document, map[string]int, error) {
	document, err := copied(c.version.Document)
	if err != nil {
		return document, nil, err
	}
	strand, old := document.Step(c.placement.StepKey)
	if old == nil {
		return document, nil, errNoStep
	}
	whole := old.With(c.assignment.Overrides[old.Key])
	numbers := map[string]int{}
	var thin []program.Step
	for n, s := range steps {
		if s.blank() || len(thin) == MaxSmallerSteps {
			continue
		}
		step := whole
		step.Key = program.NewKey()
		step.Label, step.Name, step.DoneWhen = strings.TrimSpace(s.Label), strings.TrimSpace(s.Name), strings.TrimSpace(s.DoneWhen)
		if text := strings.TrimSpace(s.Criterion); text != "" {
			step.Criterion = text
		}
		numbers[step.Key] = n
		thin = append(thin, step)
	}
	if len(thin) == 0 {
		return document, numbers, nil
	}
	gone := old.Key
	at := slices.IndexFunc(strand.Steps, func(s program.Step) bool { return s.Key == gone })
	strand.Steps = slices.Concat(strand.Steps[:at], thin, strand.Steps[at+1:])
	renamed(&document, gone, thin)
	return document, numbers, nil
}

func renamed(d *program.Document, gone string, thin []program.Step) {
	for i := range d.Strands {
		for j := range d.Strands[i].Opens {
			if d.Strands[i].Opens[j].Step == gone {
				d.Strands[i].Opens[j].Step = thin[len(thin)-1].Key
			}
		}
	}
	for i := range d.Difficulties {
		x := &d.Difficulties[i]
		if at := slices.Index(x.Steps, gone); at >= 0 {
			keys := make([]string, len(thin))
			for k, s := range thin {
				keys[k] = s.Key
			}
			x.Steps = slices.Concat(x.Steps[:at], keys, x.Steps[at+1:])
		}
	}
}

// copied returns a deep copy of a document.
func copied(d program.Document) (out program.Document, err error) {
	body, err := d.Canonical()
	if err == nil {
		err = json.Unmarshal(body, &out)
	}
	if err != nil {
		return out, fmt.Errorf("copy document: %w", err)
	}
	return out, nil
}

// branch splits the step for this learner only: the assignment gets its own
// version, and the learner moves to the first of the smaller steps. Steps that
// were met stay met, because the other steps keep their keys.
func (c *decider) branch(ctx context.Context, tx *postgres.Tx, d newel.Decision, steps []SmallerStep) error {
	document, _, err := c.withSmallerSteps(steps)
	if err != nil {
		return err
	}
	if err := document.Publishable(); err != nil {
		return err
	}
	v := program.Version{
		ID: newel.NewID[newel.VersionID](), ProgramID: c.version.ProgramID, Number: c.version.Number, Document: document, Own: true,
		PublishedBy: tx.Scope().Account, PublishedAt: tx.Now(),
	}
	if v.Hash, err = document.Hash(); err != nil {
		return err
	}
	b := newel.Branch{VersionID: v.ID, FamilyID: c.assignment.FamilyID, AssignmentID: c.assignment.ID, StepKey: c.placement.StepKey}
	if err := tx.AddBranch(ctx, b, v); err != nil {
		return err
	}
	strand, _ := c.version.Document.Step(c.placement.StepKey)
	at := slices.IndexFunc(strand.Steps, func(s program.Step) bool { return s.Key == c.placement.StepKey })
	c.version = v
	first := &v.Document.Strand(strand.Key).Steps[at]
	return c.move(ctx, tx, d, first, false)
}

// revise moves the assignment to the latest version if it is newer and has the
// step. Otherwise it starts a draft and returns the step's location in it, and
// the placement stays open.
func (c *decider) revise(ctx context.Context, tx *postgres.Tx, d newel.Decision) error {
	if c.takesOver() {
		m, err := moveOf(ctx, tx, c.assignment)
		if err != nil {
			return err
		}
		return c.app.takeOver(ctx, tx, m, d)
	}
	if err := beginDraft(ctx, tx, c.latest); err != nil {
		return err
	}
	c.continueAt = href.Draft.To(c.version.ProgramID)
	if _, step := c.latest.Document.Step(c.placement.StepKey); step != nil {
		c.continueAt = href.DraftStep(c.version.ProgramID, step.Key) + "#pane"
	}
	return tx.AddDecision(ctx, d)
}

// takesOver reports whether a newer published version has the step.
func (c *decider) takesOver() bool {
	_, step := c.latest.Document.Step(c.placement.StepKey)
	return step != nil && c.latest.Number > c.version.Number
}

// beginDraft starts a draft from a version, unless there is one.
func beginDraft(ctx context.Context, tx *postgres.Tx, from program.Version) error {
	_, err := tx.Draft(ctx, from.ProgramID)
	if !errors.Is(err, newel.ErrNotFound) {
		return err
	}
	if err := tx.AddDraft(ctx, from.ProgramID, from.Document); err != nil {
		return err
	}
	return tx.Note(ctx, "authoring.revised", newel.FamilyID{}, from.ProgramID.UUID)
}
