package postgres

import (
	"context"

	"newel/internal/newel"
)

const consentColumns = `select c.id, c.family_id, c.learner_id, c.kind, c.given_on, c.given_by, c.recorded_by, c.withdrawn_on
	from consent c where $in(c)`

// AddConsent adds a consent. It returns an Invalid for the field "kind" if a
// consent of that kind is already in force.
func (tx *Tx) AddConsent(ctx context.Context, c newel.Consent) (err error) {
	defer wrap(&err, "add consent %s", c.ID)
	if err := tx.covers(c.FamilyID); err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into consent (clinic_id, family_id, id, learner_id, kind, given_on, given_by, recorded_by)
		values (@scope_clinic, @family, @id, @learner, @kind, @on, @by, @recorder)`,
		args{
			"family": c.FamilyID, "id": c.ID, "learner": c.LearnerID, "kind": string(c.Kind),
			"on": c.GivenOn, "by": c.GivenBy, "recorder": c.RecordedBy,
		})
	if violates(err, "consent_stands") {
		invalid := &newel.Invalid{}
		invalid.Add("kind", "consent.stands_already")
		return invalid
	}
	return err
}

// Consent returns one consent.
func (tx *Tx) Consent(ctx context.Context, id newel.ConsentID) (_ newel.Consent, err error) {
	defer wrap(&err, "consent %s", id)
	return one[newel.Consent](ctx, tx, consentColumns+` and c.id = @id`, args{"id": id})
}

// Consents lists a learner's consents, including withdrawn ones, in the order
// they were given.
func (tx *Tx) Consents(ctx context.Context, learner newel.LearnerID) (_ []newel.Consent, err error) {
	defer wrap(&err, "consents of %s", learner)
	return many[newel.Consent](ctx, tx, consentColumns+` and c.learner_id = @learner order by c.given_on, c.id`, args{"learner": learner})
}

// WithdrawConsent records the day from which a consent is withdrawn. It returns
// ErrConflict if the consent was withdrawn before.
func (tx *Tx) WithdrawConsent(ctx context.Context, id newel.ConsentID, on newel.Day) (err error) {
	defer wrap(&err, "withdraw consent %s", id)
	done, err := many[struct{ ID newel.ConsentID }](ctx, tx, `update consent c set withdrawn_on = @on
		where $in(c) and id = @id and withdrawn_on is null returning id`, args{"id": id, "on": on})
	if err != nil || len(done) == 1 {
		return err
	}
	if _, err := tx.Consent(ctx, id); err != nil {
		return err
	}
	return newel.ErrConflict
}
