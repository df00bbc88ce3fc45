package app

import (
	"context"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// DemoAccount gives somebody of the demo clinic, to be shown before anybody
// becomes them.
func (a *App) DemoAccount(ctx context.Context, clinic newel.ClinicID, id newel.AccountID) (actor newel.Actor, err error) {
	err = a.db.InScope(ctx, newel.Scope{Clinic: clinic, Account: id}, func(tx *postgres.Tx) error {
		standing, err := tx.Standing(ctx)
		actor = actorOf(clinic, id, standing)
		return err
	})
	return actor, err
}

// Demo signs somebody of the demo clinic in: staff by a sign-in, a caregiver
// by a bound browser. Exactly one of the two comes back.
func (a *App) Demo(ctx context.Context, clinic newel.ClinicID, id newel.AccountID, userAgent string) (who SignIn, device string, err error) {
	err = a.db.InScope(ctx, newel.Scope{Clinic: clinic, Account: id}, func(tx *postgres.Tx) error {
		who, device = SignIn{}, ""
		standing, err := tx.Standing(ctx)
		if err != nil {
			return err
		}
		if actorOf(clinic, id, standing).IsStaff() {
			who = SignIn{Clinic: clinic, Account: id, Epoch: standing.Epoch}
			return nil
		}
		device = account.NewToken()
		d := newel.Device{ID: newel.NewID[newel.DeviceID](), Account: id, Label: account.Label(userAgent)}
		return tx.AddDevice(ctx, d, account.TokenHash(device))
	})
	return who, device, err
}
