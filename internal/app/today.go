package app

import (
	"context"
	"fmt"
	"time"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// Taught is a placement with everything that whoever teaches it has to know.
type Taught = postgres.Taught

// Today is what a caregiver sees first: each learner with what is taught.
type Today struct {
	Day      newel.Day
	Learners []TodayLearner
}

// TodayLearner is one learner's day.
type TodayLearner struct {
	Learner newel.Learner
	Next    *postgres.Taught  // nil: nothing to do
	Others  []postgres.Taught // may be started as well
	Resting []postgres.Taught // not to be started until somebody has looked
}

// mostToday is how many programs a day offers for one learner.
const mostToday = 4

// Today gives the caregiver's day. What was taught least recently comes next;
// nothing counts the days missed.
func (a *App) Today(ctx context.Context, actor newel.Actor) (t Today, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		rows, err := tx.TaughtNow(ctx)
		if err != nil {
			return err
		}
		zone := "UTC"
		if len(rows) > 0 {
			zone = rows[0].TimeZone
		}
		location, err := time.LoadLocation(zone)
		if err != nil {
			return err
		}
		t = todayOf(rows)
		t.Day = newel.DayOf(tx.Now(), location)
		return nil
	})
	return t, err
}

func todayOf(rows []postgres.Taught) Today {
	var t Today
	for _, row := range rows {
		if n := len(t.Learners); n == 0 || t.Learners[n-1].Learner.ID != row.LearnerID {
			t.Learners = append(t.Learners, TodayLearner{Learner: row.Learner()})
		}
		l := &t.Learners[len(t.Learners)-1]
		switch {
		case row.State == newel.AssignmentResting:
			l.Resting = append(l.Resting, row)
		case l.Next == nil:
			l.Next = &row
		case len(l.Others) < mostToday-1:
			l.Others = append(l.Others, row)
		}
	}
	return t
}

// Teach gives one placement for reading how to teach it, also while it rests.
func (a *App) Teach(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (now postgres.Taught, kit newel.Kit, err error) {
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) error {
		if now, err = tx.TaughtAt(ctx, placement); err != nil {
			return err
		}
		people, err := tx.People(ctx, now.FamilyID)
		kit = kitOf(now, people, actor.Account)
		return err
	})
	return now, kit, err
}

// TalkedAboutIt ends the rest after a child's no, in the word of the
// caregiver: it was talked about, and teaching may go on.
func (a *App) TalkedAboutIt(ctx context.Context, actor newel.Actor, form Form, assignment newel.AssignmentID) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		it, err := tx.LockAssignment(ctx, assignment)
		if err != nil {
			return "", err
		}
		if it.State != newel.AssignmentResting {
			return "", fmt.Errorf("assignment %s does not rest: %w", assignment, newel.ErrConflict)
		}
		_, err = talk(ctx, tx, it, TalkInput{ID: newel.TalkID{UUID: form.Token}, Assignment: assignment, At: tx.Now()})
		return "/today", err
	})
}
