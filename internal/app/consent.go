package app

import (
	"context"
	"slices"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// ConsentPage lists a learner's consents, including withdrawn ones.
type ConsentPage struct {
	Learner  newel.Learner
	Family   newel.Family
	Consents []newel.Consent
	Today    newel.Day // in the family's time zone
}

// Consents returns a learner's consents.
func (a *App) Consents(ctx context.Context, actor newel.Actor, id newel.LearnerID) (page ConsentPage, err error) {
	err = a.act(ctx, actor, newel.RecordConsent, func(tx *postgres.Tx) error {
		if page.Learner, err = tx.Learner(ctx, id); err != nil {
			return err
		}
		page.Learner = visible(actor, page.Learner)
		if page.Family, err = tx.Family(ctx, page.Learner.FamilyID); err != nil {
			return err
		}
		page.Today = today(tx.Now(), page.Family)
		page.Consents, err = tx.Consents(ctx, id)
		return err
	})
	return page, err
}

// ConsentInput is the form for recording a consent.
type ConsentInput struct{ Kind, GivenOn, GivenBy string }

// GiveConsent records the consent of a person with parental authority.
func (a *App) GiveConsent(ctx context.Context, actor newel.Actor, form Form, id newel.LearnerID, in ConsentInput) (string, error) {
	return a.once(ctx, actor, newel.RecordConsent, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, id)
		if err != nil {
			return "", err
		}
		f, err := tx.Family(ctx, l.FamilyID)
		if err != nil {
			return "", err
		}
		c, err := in.clean(l, today(tx.Now(), f))
		if err != nil {
			return "", err
		}
		c.RecordedBy = actor.Account
		if err := tx.AddConsent(ctx, c); err != nil {
			return "", err
		}
		return href.LearnerConsents.To(id), tx.Note(ctx, "consent.given", l.FamilyID, c.ID.UUID)
	})
}

func (in ConsentInput) clean(l newel.Learner, today newel.Day) (newel.Consent, error) {
	invalid := &newel.Invalid{}
	c := newel.Consent{ID: newel.NewID[newel.ConsentID](), FamilyID: l.FamilyID, LearnerID: l.ID, Kind: newel.ConsentKind(in.Kind)}
	if !slices.Contains(newel.ConsentKinds, c.Kind) {
		invalid.Add("kind", "consent.kind")
	}
	c.GivenOn = pastDay(invalid, "given_on", in.GivenOn, today)
	if !c.GivenOn.IsZero() && !l.BirthMonth.IsZero() && c.GivenOn.Before(l.BirthMonth) {
		invalid.Add("given_on", "consent.before_birth")
	}
	c.GivenBy = invalid.Line("given_by", in.GivenBy, newel.MaxLine, true)
	return c, invalid.OrNil()
}

// pastDay parses a required date that must not be in the future.
func pastDay(e *newel.Invalid, field, typed string, today newel.Day) newel.Day {
	d, err := newel.ParseDay(strings.TrimSpace(typed))
	switch {
	case typed == "":
		e.Add(field, "field.required")
	case err != nil:
		e.Add(field, "field.date", "example", today.String())
		return newel.Day{}
	case today.Before(d):
		e.Add(field, "field.date_future", "today", today.String())
	}
	return d
}

// WithdrawConsent records the day from which a consent is withdrawn. It returns
// ErrConflict if the consent was withdrawn before.
func (a *App) WithdrawConsent(ctx context.Context, actor newel.Actor, form Form, id newel.ConsentID, on string) (string, error) {
	return a.once(ctx, actor, newel.RecordConsent, form, func(tx *postgres.Tx) (string, error) {
		c, err := tx.Consent(ctx, id)
		if err != nil {
			return "", err
		}
		f, err := tx.Family(ctx, c.FamilyID)
		if err != nil {
			return "", err
		}
		invalid := &newel.Invalid{}
		day := pastDay(invalid, "withdrawn_on", on, today(tx.Now(), f))
		if !day.IsZero() && day.Before(c.GivenOn) {
			invalid.Add("withdrawn_on", "consent.withdrawn_before", "given", c.GivenOn.String())
		}
		if err := invalid.OrNil(); err != nil {
			return "", err
		}
		if err := tx.WithdrawConsent(ctx, id, day); err != nil {
			return "", err
		}
		return href.LearnerConsents.To(c.LearnerID), tx.Note(ctx, "consent.withdrawn", c.FamilyID, id.UUID)
	})
}
