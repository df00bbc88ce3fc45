package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/writing"
)

// ReplayInput is a criterion and a step-back rule, as typed, to try on past
// sessions. Given is false if nothing was typed; then the step's own rules are
// used.
type ReplayInput struct {
	Criterion, StepBack string
	Given               bool
}

// ReplayStay is one placement under its own rules and the tried ones.
type ReplayStay struct {
	Placement newel.PlacementID
	BeganOn   newel.Day
	EndedOn   newel.Day // zero if open
	Criterion string    // its own criterion
	Sessions  int
	Days      map[string]newel.Day // of the sessions, by id
	writing.Replayed

	// Earlier are the readings that an earlier version of the evaluator made,
	// oldest first: those that decisions were based on, and the stored one.
	Earlier []EarlierReading
}

// EarlierReading is what an earlier version of the evaluator said of a
// placement, beside what the present one says of the same sessions under the
// same criterion.
type EarlierReading struct {
	Day       newel.Day
	Decision  newel.DecisionKind // that was based on it; empty for the stored reading
	Then, Now criterion.Reading
}

// ReplayView is how the tried rules would have judged past placements on a
// step.
type ReplayView struct {
	Program  program.Program
	Step     string // title
	StepName string
	In       ReplayInput
	Problems map[string]newel.Problem // by "criterion" and "step_back": why they are invalid

	// For one learner in reach: each placement.
	Learner   *newel.Learner
	Placement newel.PlacementID
	Stays     []ReplayStay // newest first

	// For all learners in reach: counts, and only if there are enough learners
	// that no one can be identified.
	WholeClinic bool
	Learners    int
	TooFew      bool

	Sum      writing.Difference
	Unjudged int  // placements that the rules do not fit: other help levels or targets
	LeftOut  bool // there are more placements than the limit
}

const (
	// ReplayLearners is the minimum number of learners for which counts are
	// shown. With fewer, someone who knows one of them could infer facts about
	// the others.
	ReplayLearners = 5
	// replayStays and replayReadings limit what one page computes: the
	// placements, and the total number of sessions read.
	replayStays    = 60
	replayReadings = 200_000
)

// Replay tries rules on past placements on a step, for all learners in reach:
// the whole clinic for a lead, the own caseload for others. It uses the actor's
// own scope, never a wider one.
func (a *App) Replay(ctx context.Context, actor newel.Actor, id newel.ProgramID, step string, in ReplayInput) (v ReplayView, err error) {
	var stays []postgres.PastStay
	var now time.Time
	var draft writing.Rules
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		d, err := currentState(ctx, tx, id, &v)
		if err != nil {
			return err
		}
		_, s := d.Step(step)
		if s == nil {
			return fmt.Errorf("step %s: %w", step, newel.ErrNotFound)
		}
		draft = v.rules(d, *s, in)
		v.WholeClinic, now = tx.Scope().WholeClinic, tx.Now()
		stays, err = tx.PastStays(ctx, id, step, nil, replayStays)
		return err
	})
	if err != nil || len(v.Problems) > 0 {
		return v, err
	}
	if err := a.replay(ctx, &v, draft, stays, now); err != nil {
		return v, err
	}
	v.Stays = nil // only counts
	if v.TooFew = v.Learners < ReplayLearners; v.TooFew {
		v.Sum, v.Unjudged = writing.Difference{}, 0
	}
	return v, nil
}

// currentState returns the draft of a program, or its latest version.
func currentState(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, v *ReplayView) (d program.Document, err error) {
	if v.Program, err = tx.Program(ctx, id); err != nil {
		return d, err
	}
	draft, err := tx.Draft(ctx, id)
	if err == nil || !errors.Is(err, newel.ErrNotFound) {
		return draft.Document, err
	}
	version, err := tx.LatestVersion(ctx, id)
	return version.Document, err
}

// ReplayLearner tries rules on one learner's past placements on a placement's
// step.
func (a *App) ReplayLearner(ctx context.Context, actor newel.Actor, placement newel.PlacementID, in ReplayInput) (v ReplayView, err error) {
	var stays []postgres.PastStay
	var now time.Time
	var draft writing.Rules
	var made []madeReading
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		taught, err := tx.TaughtAt(ctx, placement)
		if err != nil {
			return err
		}
		assignment, err := tx.Assignment(ctx, taught.AssignmentID)
		if err != nil {
			return err
		}
		if v.Program, err = tx.Program(ctx, assignment.ProgramID); err != nil {
			return err
		}
		_, s := taught.Document.Step(taught.StepKey)
		if s == nil {
			return fmt.Errorf("step of %s: %w", placement, newel.ErrNotFound)
		}
		learner := taught.Learner()
		v.Learner, v.Placement, now = &learner, placement, tx.Now()
		draft = v.rules(taught.Document, s.With(taught.Overrides[s.Key]), in)
		if stays, err = tx.PastStays(ctx, assignment.ProgramID, taught.StepKey, &assignment.ID, replayStays); err != nil {
			return err
		}
		made, err = earlierReadings(ctx, tx, assignment.ID)
		return err
	})
	if err != nil || len(v.Problems) > 0 {
		return v, err
	}
	if err := a.replay(ctx, &v, draft, stays, now); err != nil {
		return v, err
	}
	return v, a.compareEarlier(&v, stays, made)
}

// rules parses what was typed, or returns the step's own rules.
func (v *ReplayView) rules(d program.Document, s program.Step, in ReplayInput) writing.Rules {
	if !in.Given {
		in.Criterion, in.StepBack = s.Criterion, s.StepBack
	}
	v.Step, v.StepName, v.In, v.Problems = d.StepTitle(s.Key), s.Name, in, map[string]newel.Problem{}
	unreadable := func(field string, err error) {
		var e newel.Invalid
		e.AddUnreadable(field, err)
		v.Problems[field] = e.Problems[0]
	}
	out := writing.Rules{Flags: reading.RulesOf(s.Rules)}
	c, err := criterion.Parse(in.Criterion, d.Vocabulary(&s))
	if err != nil {
		unreadable("criterion", err)
	} else {
		out.Criterion = c.String()
		v.In.Criterion = out.Criterion
	}
	if program.Normalize(in.StepBack) == "" {
		return out
	}
	if back, err := criterion.ParseStepBack(in.StepBack, d.Vocabulary(&s)); err != nil {
		unreadable("step_back", err)
	} else {
		out.StepBack = back.String()
		v.In.StepBack = out.StepBack
	}
	return out
}

// replay judges the placements separately, so that rules that do not fit one of
// them do not prevent the others from being judged.
func (a *App) replay(ctx context.Context, v *ReplayView, draft writing.Rules, stays []postgres.PastStay, now time.Time) error {
	v.LeftOut = len(stays) == replayStays
	learners, readings := map[newel.LearnerID]bool{}, 0
	var replayed []writing.Replayed
	for _, stay := range stays {
		n := len(stay.Sessions)
		if n == 0 {
			continue
		}
		if readings += n * n; readings > replayReadings && len(replayed) > 0 {
			v.LeftOut = true
			break
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		zone := timezone.OrUTC(stay.TimeZone)
		one := ReplayStay{Placement: stay.PlacementID, BeganOn: stay.BeganOn, Criterion: stay.Criterion, Sessions: n, Days: map[string]newel.Day{}}
		for _, s := range stay.Sessions {
			one.Days[s.ID] = newel.NewDay(s.LocalDate.Year, s.LocalDate.Month, s.LocalDate.Day)
		}
		asOf := now
		if stay.EndedAt != nil {
			asOf, one.EndedOn = *stay.EndedAt, newel.DayOf(*stay.EndedAt, zone)
		}
		c, err := reading.CaseOf(stay.Facts, asOf)
		if err != nil {
			return err
		}
		past := writing.Past{Case: c, Evaluate: func(c criterion.Case) (criterion.Reading, error) { return a.evaluate.Judge(stay.Facts, c) }}
		result, err := writing.Replay(draft, []writing.Past{past})
		var unfit *criterion.InputError
		if errors.As(err, &unfit) {
			v.Unjudged++
			continue
		}
		if err != nil {
			return err
		}
		one.Replayed = result[0]
		replayed, v.Stays, learners[stay.LearnerID] = append(replayed, result[0]), append(v.Stays, one), true
	}
	v.Learners, v.Sum = len(learners), writing.Sum(replayed)
	return nil
}
