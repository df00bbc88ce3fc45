package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// weekSessions limits one page to far more sessions than a family records in a
// week.
const weekSessions = 400

// LearnerWeek returns a learner's last seven days in local time.
func (a *App) LearnerWeek(ctx context.Context, actor newel.Actor, id newel.LearnerID) (w reading.Week, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		l, err := tx.Learner(ctx, id)
		if err != nil {
			return err
		}
		family, err := tx.Family(ctx, l.FamilyID)
		if err != nil {
			return err
		}
		w.Zone = timezone.OrUTC(family.TimeZone)
		w.From = newel.DayOf(tx.Now(), w.Zone).AddDays(1 - reading.WeekDays)
		w.Sessions, err = tx.LearnerSessions(ctx, id, w.From, weekSessions)
		return err
	})
	return w, err
}
