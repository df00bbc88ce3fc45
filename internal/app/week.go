package app

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// Week is what was recorded with a learner on the last days, today among
// them, as the family's clock has it.
type Week struct {
	From     newel.Day
	Zone     *time.Location
	Sessions []WeekSession // oldest first
}

// WeekSession is one of its sessions.
type WeekSession struct {
	newel.WeekSession
	Session Session
}

// WeekDays is how many days a week has here.
const WeekDays = 7

// weekSessions bounds what one page lists: far more than a family records in
// a week.
const weekSessions = 400

// LearnerWeek gives the last seven local days of a learner.
func (a *App) LearnerWeek(ctx context.Context, actor newel.Actor, id newel.LearnerID) (w Week, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		l, err := tx.Learner(ctx, id)
		if err != nil {
			return err
		}
		family, err := tx.Family(ctx, l.FamilyID)
		if err != nil {
			return err
		}
		w.Zone = location(family.TimeZone)
		w.From = newel.DayOf(tx.Now(), w.Zone).AddDays(1 - WeekDays)
		rows, err := tx.LearnerSessions(ctx, id, w.From, weekSessions)
		if err != nil {
			return err
		}
		for _, row := range rows {
			s, err := sessionOf(row.SessionRow)
			if err != nil {
				return err
			}
			w.Sessions = append(w.Sessions, WeekSession{row, s})
		}
		return nil
	})
	return w, err
}
