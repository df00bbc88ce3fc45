package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

const addsOwnForm = "the form is stored for the caller's own account"

// nowhere is a clinic that does not exist yet.
var nowhere = tenants.ID[newel.ClinicID]("nowhere")

var accountDeeds = map[string][]deed{
	"AddClinic": {{
		of: theStaff,
		as: func(victim) newel.Scope { return newel.Scope{Clinic: nowhere, Staff: true, WholeClinic: true} },
		call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			id := v.Clinic
			if tx.Scope().Clinic == nowhere {
				id = nowhere
			}
			return nil, tx.AddClinic(ctx, newel.Clinic{ID: id, Name: "New", TimeZone: "UTC"})
		},
	}},
	"Clinic": {{of: theStaff, adds: "it is the caller's own", call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Clinic(ctx)
	}}},
	"ChangeClinic": {{of: theStaff, adds: "it is the caller's own", call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeClinic(ctx, "Changed", "UTC")
	}}},

	"Standing": {{of: oneAccount, adds: "it is the caller's own", call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Standing(ctx)
	}}},
	"AddAccount": {
		{of: theStaff, adds: addsOwn, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
			return nil, tx.AddAccount(ctx, newel.Account{ID: fresh[newel.AccountID](), Name: "New", Capacities: []newel.Capacity{newel.Lead}, Active: true})
		}},
		{ // a newcomer may add only their own account, as a caregiver
			of: theStaff, mixes: true,
			call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
				s := tx.Scope()
				s.Account, s.Staff, s.WholeClinic = fresh[newel.AccountID](), false, false
				if err := tx.Enter(ctx, s); err != nil {
					return nil, err
				}
				return nil, tx.AddAccount(ctx, newel.Account{ID: s.Account, Name: "New", Capacities: []newel.Capacity{newel.Administrator}, Active: true})
			},
		},
	},
	"ChangeAccount": {
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.ChangeAccount(ctx, newel.Account{ID: v.Supervisor, Name: "Taken", Capacities: []newel.Capacity{newel.Administrator}})
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.ChangeAccount(ctx, newel.Account{ID: v.Caregiver, Name: "Risen", Capacities: []newel.Capacity{newel.Administrator}, Active: true})
		}},
	},
	"AccountNames": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.AccountNames(ctx, []newel.AccountID{v.Caregiver, v.Supervisor, v.C.Lead})
	}}},
	"Staff": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Staff(ctx)
	}}},
	"StaffMember": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.StaffMember(ctx, v.Supervisor)
	}}},
	"LockAdministrators": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.LockAdministrators(ctx)
	}}},

	"Credential": {{
		of: oneAccount, adds: "it is the caller's own", as: func(v victim) newel.Scope { return v.SupervisorScope() },
		call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
			return tx.Credential(ctx)
		},
	}},
	"AddCredential": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddCredential(ctx, v.Caregiver, "new@example.org")
	}}},
	"ChangeSignInName": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeSignInName(ctx, v.Supervisor, "taken@example.org")
	}}},
	"SetPassword": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetPassword(ctx, v.Supervisor, "taken")
	}}},
	"Rehash": {{of: theStaff, blank: true, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.Rehash(ctx, v.Supervisor, tenants.PasswordHash, "taken")
	}}},

	"AddSetupLink": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		id := fresh[newel.SetupLinkID]()
		return nil, tx.AddSetupLink(ctx, newel.SetupLink{ID: id, Account: v.C.Fresh, ExpiresAt: tenants.Now.AddDate(0, 0, 3)}, id.String())
	}}},
	"UseSetupLink": {{of: theStaff, gone: true, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.UseSetupLink(ctx, v.C.SetupLink)
	}}},
	"RevokeSetupLinks": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.RevokeSetupLinks(ctx, v.C.Fresh)
	}}},

	"FormSent": {{of: oneAccount, adds: addsOwnForm, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.FormSent(ctx, v.Sent)
	}}},
	"SaveForm": {{of: oneAccount, adds: addsOwnForm, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.SaveForm(ctx, fresh[newel.ProgramID]().UUID, "/new")
	}}},

	"Note": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.Note(ctx, "family.touched", v.ID, v.ID.UUID)
		}, adds: "an entry in the caller's own audit trail, where ids of other clinics mean nothing"},
	},
	"Deeds": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Deeds(ctx, 100)
	}}},
}
