package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/timezone"
)

// TalkInput is what someone in a family says on a phone about a child's no.
type TalkInput struct {
	ID         newel.TalkID
	Assignment newel.AssignmentID
	Line       string    // in their words; empty for "we talked about it"
	At         time.Time // by the phone's clock
	Sent       time.Time // by the same clock, when it was sent; zero if unknown
}

// Talked records what a family says about a child's no, including when it was
// written offline and arrives late. It lifts no pause: only the clinic does.
// Sending the same id again returns the same answer.
func (a *App) Talked(ctx context.Context, actor newel.Actor, in TalkInput) (out newel.Talked, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		it, err := tx.LockAssignment(ctx, in.Assignment)
		if err != nil {
			return err
		}
		before, err := tx.Talk(ctx, in.ID)
		switch {
		case err == nil && (before.Assignment != in.Assignment || before.MadeBy != actor.Account):
			return fmt.Errorf("talk %s: %w", in.ID, newel.ErrConflict)
		case err == nil:
			out = newel.Talked{ID: in.ID, Assignment: in.Assignment, Rests: before.Rests}
			return nil
		case !errors.Is(err, newel.ErrNotFound):
			return err
		}
		out, err = talk(ctx, tx, it, in)
		return err
	})
	return out, err
}

func talk(ctx context.Context, tx *postgres.Tx, it newel.Assignment, in TalkInput) (newel.Talked, error) {
	var e newel.Invalid
	t := newel.Talk{
		ID: in.ID, FamilyID: it.FamilyID, Assignment: it.ID, Line: e.Line("line", in.Line, newel.MaxLine, false),
		TalkedAt: correctedTime(in.At, in.Sent, tx.Now()), Rests: it.State == newel.AssignmentResting,
	}
	if err := e.OrNil(); err != nil {
		return newel.Talked{}, err
	}
	if err := tx.AddTalk(ctx, t); err != nil {
		return newel.Talked{}, err
	}
	return newel.Talked{ID: in.ID, Assignment: it.ID, Rests: t.Rests}, tx.Note(ctx, "assignment.talked_about", it.FamilyID, it.ID.UUID)
}

// stopped is what lifting the pause after a child's no depends on.
type stopped struct {
	no    string    // newel.LastNo.Mark
	today newel.Day // where the family lives
}

func stoppedOf(ctx context.Context, tx *postgres.Tx, it newel.Assignment) (s stopped, err error) {
	no, err := tx.LastNo(ctx, it.ID)
	if err != nil {
		return s, err
	}
	family, err := tx.Family(ctx, it.FamilyID)
	s.no, s.today = no.Mark(), newel.DayOf(tx.Now(), timezone.OrUTC(family.TimeZone))
	return s, err
}

// lifting validates lifting the pause after a child's no. It requires what was
// agreed and when, and that the page showed the latest no.
func (c *decider) lifting(in DecisionInput, d newel.Decision) (newel.Decision, error) {
	var e newel.Invalid
	d.Reason = e.Line("agreed", in.Agreed, newel.MaxLine, true)
	day, err := newel.ParseDay(in.AgreedOn)
	switch {
	case err != nil:
		e.Add("agreed_on", "field.date", "example", c.stopped.today.String())
	case c.stopped.today.Before(day):
		e.Add("agreed_on", "stop.future")
	}
	d.AgreedOn = day
	switch {
	case c.assignment.State != newel.AssignmentResting:
		e.Add("kind", "stop.not_paused")
	case in.No != c.stopped.no:
		e.Add("agreed", "stop.no_again")
	}
	return d, e.OrNil()
}

// lift records what was agreed and ends the pause after a child's no. A pause
// that a supervisor had set before the no continues.
func (c *decider) lift(ctx context.Context, tx *postgres.Tx, d newel.Decision) error {
	if err := tx.AddDecision(ctx, d); err != nil {
		return err
	}
	state := newel.AssignmentActive
	for _, before := range c.decisions { // newest first
		if before.Kind == newel.DecisionPause {
			state = newel.AssignmentPaused
		}
		if before.Kind == newel.DecisionPause || before.Kind == newel.DecisionResume {
			break
		}
	}
	return c.set(ctx, tx, state)
}
