package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// fresh returns an id that nothing uses yet.
func fresh[I newel.ID[K], K any]() I { return newel.NewID[I, K]() }

const addsOwn = "the id is new, and the row is added to the caller's own clinic"

var peopleDeeds = map[string][]deed{
	"AddFamily": {{adds: addsOwn, as: leadOf, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddFamily(ctx, newel.Family{ID: fresh[newel.FamilyID](), Name: "New", TimeZone: "UTC", Language: "en"})
	}}},
	"Family": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Family(ctx, v.ID)
	}}},
	"Families": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Families(ctx)
	}}},
	"ChangeFamily": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeFamily(ctx, newel.Family{ID: v.ID, Name: "Taken", TimeZone: "UTC", Language: "en"})
	}}},

	"LookAfter": {{as: leadOf, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.LookAfter(ctx, v.ID, tx.Scope().Account)
	}}},
	"StopLookingAfter": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.StopLookingAfter(ctx, v.ID, v.Supervisor)
	}}},
	"LookingAfter": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LookingAfter(ctx, v.ID)
	}}},

	"AddLearner": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddLearner(ctx, newel.Learner{ID: fresh[newel.LearnerID](), FamilyID: v.ID, Nickname: "New"})
	}}},
	"Learner": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Learner(ctx, v.Learner)
	}}},
	"Learners": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Learners(ctx)
	}}},
	"LearnersOf": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LearnersOf(ctx, v.ID)
	}}},
	"ChangeLearner": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeLearner(ctx, v.Learner, "Taken", newel.Day{})
	}}},
	"SaveCare": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SaveCare(ctx, v.Learner, newel.Care{StopSigns: "Taken"}, 0)
	}}},

	"AddPerson": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddPerson(ctx, newel.Person{ID: fresh[newel.PersonID](), FamilyID: v.ID, Name: "New"})
	}}},
	"Person": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Person(ctx, v.Person)
	}}},
	"PersonForUpdate": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.PersonForUpdate(ctx, v.Person)
	}}},
	"People": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.People(ctx, v.ID)
	}}},
	"RenamePerson": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.RenamePerson(ctx, v.Person, "Taken")
	}}},
	"TiePerson": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
		return nil, tx.TiePerson(ctx, v.Free, own.Caregiver)
	}}},

	"AddConsent": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			if err := tx.WithdrawConsent(ctx, v.Teaching, newel.DayOf(tenants.Now, tenants.Now.Location())); err != nil {
				return nil, err // one is in force already; a second of the same kind is refused
			}
			return nil, addConsent(ctx, tx, v.ID, v.Learner)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addConsent(ctx, tx, v.ID, v.Learner)
		}, mixes: true},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addConsent(ctx, tx, own.ID, v.Learner)
		}, mixes: true},
	},
	"Consent": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Consent(ctx, v.Teaching)
	}}},
	"Consents": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Consents(ctx, v.Learner)
	}}},
	"WithdrawConsent": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.WithdrawConsent(ctx, v.Recorded, newel.DayOf(tenants.Now, tenants.Now.Location()))
	}}},

	"AddInvitation": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addInvitation(ctx, tx, v.ID, v.Free)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addInvitation(ctx, tx, own.ID, v.Free)
		}, mixes: true},
	},
	"InvitationsOf": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.InvitationsOf(ctx, v.ID)
	}}},
	"UseInvitation": {{gone: true, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.UseInvitation(ctx, v.Invitation)
	}}},
	"RevokeInvitation": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.RevokeInvitation(ctx, v.Invitation)
	}}},

	"DevicesOf": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.DevicesOf(ctx, v.ID)
	}}},
	"RevokeDevice": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.RevokeDevice(ctx, v.Device)
	}}},
	"AddDevice": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddDevice(ctx, newel.Device{ID: fresh[newel.DeviceID](), Account: v.Caregiver}, fresh[newel.DeviceID]().String())
	}}},
	"SeeDevice": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SeeDevice(ctx, v.Device)
	}}},
	"LeaveDevice": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.LeaveDevice(ctx, v.Device)
	}}},
}

func leadOf(v victim) newel.Scope { return v.C.LeadScope() }

func addConsent(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, l newel.LearnerID) error {
	return tx.AddConsent(ctx, newel.Consent{
		ID: fresh[newel.ConsentID](), FamilyID: f, LearnerID: l, Kind: newel.ConsentTeaching,
		GivenOn: newel.NewDay(2026, 3, 1), GivenBy: "somebody", RecordedBy: tx.Scope().Account,
	})
}

func addInvitation(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, p newel.PersonID) error {
	id := fresh[newel.InvitationID]()
	return tx.AddInvitation(ctx, newel.Invitation{
		ID: id, FamilyID: f, PersonID: p, CreatedBy: tx.Scope().Account, ExpiresAt: tenants.Now.AddDate(0, 0, 7),
	}, id.String())
}
