package reading

import (
	"slices"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
)

// ClimbedSteps gives the steps that were left by an advance, by their keys.
func ClimbedSteps(placements []newel.Placement, decisions []newel.DecisionRow) map[string]bool {
	climbed := map[string]bool{}
	for _, p := range placements {
		for _, d := range decisions {
			if d.PlacementID == p.ID && d.Kind == newel.DecisionAdvance {
				climbed[p.StepKey] = true
			}
		}
	}
	return climbed
}

// Stay is one placement of an assignment: what was recorded on it, and what
// its reading says.
type Stay struct {
	newel.Placement
	Version  *program.Version
	Strand   program.Strand
	Step     program.Step // as the learner is taught it
	Said     criterion.Reading
	Sessions []Session // oldest first
}

// Progress is one stay on a step, with all that a page about it shows, and
// the stays of its assignment before and after.
type Progress struct {
	Placement  newel.Placement
	Assignment newel.Assignment
	Learner    newel.Learner
	Family     newel.Family
	Version    program.Version
	Strand     program.Strand
	Step       program.Step
	Placements []newel.Placement // of the assignment, oldest first
	Stays      []Stay            // the same, with what came of them
	Decisions  []newel.DecisionRow
	Verdicts   []newel.Verdict  // on them, newest first; nothing for a family
	Fidelity   []newel.Fidelity // of the assignment, newest first; nothing for a family
	Reading    *newel.Reading   // nil: never read
	Said       criterion.Reading
	Sessions   []Session // oldest first
	Climbed    map[string]bool
	Group      Group
	Row        newel.CaseloadRow // as the caseload has it; only if the stay is open
	Questions  []newel.Question  // to the family, oldest first
	Today      newel.Day

	// StartsFrom is how far somebody must have come to start the step, and
	// Untrained what was recorded all the same since the latest decision; for
	// staff.
	StartsFrom newel.TrainingState
	Untrained  []Session

	Twins []Twin // of the assignment, newest first; for staff
}

// Latest is the id of the latest decision on the placement, or empty.
func (p Progress) Latest() string {
	for _, d := range p.Decisions {
		if d.PlacementID == p.Placement.ID {
			return d.ID.String()
		}
	}
	return ""
}

// Answered lists the family's answers that nobody has decided on yet.
func (p Progress) Answered() []newel.Question {
	var open []newel.Question
	for _, q := range p.Questions {
		if q.PlacementID == p.Placement.ID && q.AnsweredAt != nil && (p.Row.DecidedAt == nil || p.Row.DecidedAt.Before(*q.AnsweredAt)) {
			open = append(open, q)
		}
	}
	return open
}

// Open reports whether the stay goes on.
func (p Progress) Open() bool {
	return p.Placement.EndedAt == nil && p.Assignment.State != newel.AssignmentFinished
}

// Earlier lists the steps before this one in its strand.
func (p Progress) Earlier() []program.Step {
	i := slices.IndexFunc(p.Strand.Steps, func(s program.Step) bool { return s.Key == p.Step.Key })
	return p.Strand.Steps[:max(i, 0)]
}

// Stands gives the step that the learner stands on in a strand, and since
// when; nothing if on none.
func (p Progress) Stands(strand string) (step string, since newel.Day) {
	for _, at := range p.Placements {
		if at.StrandKey == strand && at.EndedAt == nil {
			return at.StepKey, at.BeganOn
		}
	}
	return "", newel.Day{}
}
