package reading

import (
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
)

// MetSteps returns the steps that were left by an advance, by their keys.
func MetSteps(placements []newel.Placement, decisions []newel.DecisionRow) map[string]bool {
	met := map[string]bool{}
	for _, p := range placements {
		for _, d := range decisions {
			if d.PlacementID == p.ID && d.Kind == newel.DecisionAdvance {
				met[p.StepKey] = true
			}
		}
	}
	return met
}

// Stay is one placement of an assignment with its recordings and its reading.
type Stay struct {
	newel.Placement
	Version  *program.Version
	Strand   program.Strand
	Step     program.Step // as the learner is taught it
	Said     criterion.Reading
	Sessions []newel.SessionRow // oldest first
}

// Progress is one placement with everything that its page shows, and the other
// placements of its assignment.
type Progress struct {
	Placement  newel.Placement
	Assignment newel.Assignment
	Learner    newel.Learner
	Family     newel.Family
	Version    program.Version
	Strand     program.Strand
	Step       program.Step
	Placements []newel.Placement // of the assignment, oldest first
	Stays      []Stay            // the same, with their results
	Decisions  []newel.DecisionRow
	Verdicts   []newel.Verdict  // on them, newest first; empty for a family
	Fidelity   []newel.Fidelity // of the assignment, newest first; empty for a family
	Reading    *newel.Reading   // nil if never evaluated
	Said       criterion.Reading
	Sessions   []newel.SessionRow // oldest first
	Met        map[string]bool
	Group      Group
	Row        newel.CaseloadRow // caseload row; only if the placement is open
	Questions  []newel.Question  // to the family, oldest first
	Talks      []newel.Talk      // what the family said after a child's no, newest first
	LastNo     newel.LastNo      // only of a program that is paused after a no
	Today      newel.Day

	// StartsFrom is the training that a person needs to start the step, and
	// Untrained are recordings by people without it since the latest decision;
	// staff only.
	StartsFrom newel.TrainingState
	Untrained  []newel.SessionRow

	Twins []Twin // of the placement, newest first; staff only

	// What is planned for the placement's next session; staff only. Learned is
	// nil unless the placement's step is learned and may be checked.
	Planned   []newel.PlannedSession // newest first
	Tally     program.SessionTally
	NextKinds []criterion.Kind
	Learned   *newel.LearnedCheck

	// Outdated lists the assignment's placements whose stored reading an earlier
	// evaluator made.
	Outdated []newel.PlacementID
}

// Latest returns the id of the latest decision on the placement, or "".
func (p Progress) Latest() string {
	for _, d := range p.Decisions {
		if d.PlacementID == p.Placement.ID {
			return d.ID.String()
		}
	}
	return ""
}

// Answered lists the family's answers that no one has decided on yet.
func (p Progress) Answered() []newel.Question {
	var open []newel.Question
	for _, q := range p.Questions {
		if q.PlacementID == p.Placement.ID && q.AnsweredAt != nil && (p.Row.DecidedAt == nil || p.Row.DecidedAt.Before(*q.AnsweredAt)) {
			open = append(open, q)
		}
	}
	return open
}

// Open reports whether the placement is open.
func (p Progress) Open() bool {
	return p.Placement.EndedAt == nil && p.Assignment.State != newel.AssignmentFinished
}

// Plannable lists what can be planned for the placement's next session.
func (p Progress) Plannable() []newel.PlannedKind {
	switch {
	case p.Learned != nil:
		return []newel.PlannedKind{newel.PlanCheck, newel.PlanUsual, newel.PlanNone}
	case !p.Open():
		return nil
	case p.Said.Status == criterion.StatusMet:
		return []newel.PlannedKind{newel.PlanUsual, newel.PlanBaseline, newel.PlanProbe, newel.PlanCheck}
	}
	return []newel.PlannedKind{newel.PlanUsual, newel.PlanBaseline, newel.PlanProbe}
}

// Earlier lists the steps before this one in its strand.
func (p Progress) Earlier() []program.Step {
	i := slices.IndexFunc(p.Strand.Steps, func(s program.Step) bool { return s.Key == p.Step.Key })
	return p.Strand.Steps[:max(i, 0)]
}

// CurrentStep returns the learner's current step in a strand and its first day,
// or zero values if there is none.
func (p Progress) CurrentStep(strand string) (step string, since newel.Day) {
	for _, at := range p.Placements {
		if at.StrandKey == strand && at.EndedAt == nil {
			return at.StepKey, at.BeganOn
		}
	}
	return "", newel.Day{}
}

// SaidSinceLifted lists what the family said since the last pause after a
// child's no was lifted, oldest first.
func (p Progress) SaidSinceLifted() []newel.Talk {
	var since time.Time
	for _, d := range p.Decisions {
		if d.Kind == newel.DecisionLift && d.DecidedAt.After(since) {
			since = d.DecidedAt
		}
	}
	for _, t := range p.Talks {
		if t.Lifted && t.TalkedAt.After(since) {
			since = t.TalkedAt
		}
	}
	var said []newel.Talk
	for _, t := range slices.Backward(p.Talks) {
		if !t.Lifted && t.TalkedAt.After(since) {
			said = append(said, t)
		}
	}
	return said
}
