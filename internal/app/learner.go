package app

import (
	"context"
	"strings"
	"time"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/timezone"
)

// LearnerPage is what everyone who teaches a learner must know, and what is
// missing before programs can be assigned.
type LearnerPage struct {
	newel.Learner
	Family   newel.Family
	Consents []newel.Consent
	Missing  []string // keys of the catalogue, see newel.ReadyToAssign
	Training []ProgramTraining
}

// Learner returns the page of a learner.
func (a *App) Learner(ctx context.Context, actor newel.Actor, id newel.LearnerID) (page LearnerPage, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		page, err = learnerPage(ctx, tx, id)
		return err
	})
	return page, err
}

func learnerPage(ctx context.Context, tx *postgres.Tx, id newel.LearnerID) (page LearnerPage, err error) {
	if page.Learner, err = tx.Learner(ctx, id); err != nil {
		return page, err
	}
	if page.Family, err = tx.Family(ctx, page.FamilyID); err != nil {
		return page, err
	}
	if page.Consents, err = tx.Consents(ctx, id); err != nil {
		return page, err
	}
	page.Missing = newel.ReadyToAssign(page.Care, page.Consents)
	page.Training, err = trainingIn(ctx, tx, page.Family, []newel.Learner{page.Learner})
	return page, err
}

// LearnerBasics returns a learner, limited to what people who manage families
// may see.
func (a *App) LearnerBasics(ctx context.Context, actor newel.Actor, id newel.LearnerID) (l newel.Learner, err error) {
	err = a.act(ctx, actor, newel.ManageFamilies, func(tx *postgres.Tx) error {
		l, err = tx.Learner(ctx, id)
		l = visible(actor, l)
		return err
	})
	return l, err
}

// LearnerInput is the form for a learner. BirthMonth is year and month, as in
// 2021-04, or empty.
type LearnerInput struct{ Nickname, BirthMonth string }

// maxAge is far above the age of any learner here: an earlier birth month is a
// typing error.
const maxAge = 25

func (in LearnerInput) clean(today newel.Day) (nickname string, born newel.Day, err error) {
	invalid := &newel.Invalid{}
	nickname = invalid.Line("nickname", in.Nickname, newel.MaxName, true)
	born = birthMonth(invalid, "birth_month", in.BirthMonth, today)
	return nickname, born, invalid.OrNil()
}

func birthMonth(e *newel.Invalid, field, typed string, today newel.Day) newel.Day {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return newel.Day{}
	}
	t, err := time.Parse("2006-01", typed)
	if err != nil {
		e.Add(field, "learner.birth_month", "example", today.Time().AddDate(-4, 0, 0).Format("2006-01"))
		return newel.Day{}
	}
	born := newel.NewDay(t.Year(), t.Month(), 1)
	switch {
	case today.Before(born):
		e.Add(field, "learner.birth_future")
	case born.Before(newel.NewDay(today.Time().Year()-maxAge, today.Time().Month(), 1)):
		e.Add(field, "learner.birth_long_ago", "years", maxAge)
	}
	return born
}

// today returns the date in a family's time zone.
func today(now time.Time, f newel.Family) newel.Day {
	return newel.DayOf(now, timezone.OrUTC(f.TimeZone))
}

// AddLearner adds a learner to a family.
func (a *App) AddLearner(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, in LearnerInput) (string, error) {
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		f, err := tx.Family(ctx, family)
		if err != nil {
			return "", err
		}
		l := newel.Learner{ID: newel.NewID[newel.LearnerID](), FamilyID: family}
		if l.Nickname, l.BirthMonth, err = in.clean(today(tx.Now(), f)); err != nil {
			return "", err
		}
		if err := tx.AddLearner(ctx, l); err != nil {
			return "", err
		}
		return afterLearner(actor, l), tx.Note(ctx, "learner.added", family, l.ID.UUID)
	})
}

// afterLearner returns the learner's location, or the family's for actors who
// may not see learners.
func afterLearner(actor newel.Actor, l newel.Learner) string {
	if actor.Can(newel.SeeLearner) {
		return href.Learner.To(l.ID)
	}
	return href.Family.To(l.FamilyID)
}

// ChangeLearner stores a learner's nickname and birth month.
func (a *App) ChangeLearner(ctx context.Context, actor newel.Actor, form Form, id newel.LearnerID, in LearnerInput) (string, error) {
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, id)
		if err != nil {
			return "", err
		}
		f, err := tx.Family(ctx, l.FamilyID)
		if err != nil {
			return "", err
		}
		nickname, born, err := in.clean(today(tx.Now(), f))
		if err != nil {
			return "", err
		}
		if err := tx.ChangeLearner(ctx, id, nickname, born); err != nil {
			return "", err
		}
		return afterLearner(actor, l), tx.Note(ctx, "learner.changed", l.FamilyID, id.UUID)
	})
}

// CareInput is the form for what everyone who teaches must know. Rev is the
// revision when the form was opened.
type CareInput struct {
	newel.Care
	Rev int
}

// SaveCare stores the care notes. If someone else has changed them, it stores
// nothing and returns ErrConflict.
func (a *App) SaveCare(ctx context.Context, actor newel.Actor, form Form, id newel.LearnerID, in CareInput) (string, error) {
	care, err := cleanCare(in.Care)
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DescribeCare, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, id)
		if err != nil {
			return "", err
		}
		if err := tx.SaveCare(ctx, id, care, in.Rev); err != nil {
			return "", err
		}
		return href.Learner.To(id), tx.Note(ctx, "care.described", l.FamilyID, id.UUID)
	})
}

func cleanCare(c newel.Care) (newel.Care, error) {
	invalid := &newel.Invalid{}
	if !c.Alerts.Asked {
		invalid.Add("asked", "care.not_asked")
	}
	c.Alerts.Allergy = invalid.Text("allergy", c.Alerts.Allergy, newel.MaxNote, false)
	c.Alerts.Choking = invalid.Text("choking", c.Alerts.Choking, newel.MaxNote, false)
	c.Alerts.Seizure = invalid.Text("seizure", c.Alerts.Seizure, newel.MaxNote, false)
	c.Alerts.Mouthing = invalid.Text("mouthing", c.Alerts.Mouthing, newel.MaxNote, false)
	c.StopSigns = invalid.Text("stop_signs", c.StopSigns, newel.MaxNote, true)
	c.HelpNotes = invalid.Text("help_notes", c.HelpNotes, newel.MaxNote, false)
	return c, invalid.OrNil()
}
