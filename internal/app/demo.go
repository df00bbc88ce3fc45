package app

import (
	"context"
	"time"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// OnClock returns the App on another clock, for creating the demo clinic. That
// clinic's passwords are random and no one knows them, so slow hashing would
// protect nothing.
func (a *App) OnClock(now func() time.Time) *App {
	demo := a.WithHasher(account.NewHasher(account.Cost{Memory: 8, Passes: 1, Threads: 1}))
	demo.db, demo.now = a.db.WithClock(now), now
	return demo
}

// DemoLead counts the clinics that have been set up, and returns who signs in
// with the name, or a zero SignIn if there is no such person.
func (a *App) DemoLead(ctx context.Context, signInName string) (who SignIn, clinics int, err error) {
	err = a.db.WithKey(ctx, postgres.KeyStart, func(tx *postgres.Tx) error {
		all, err := tx.UnscopedClinics(ctx)
		clinics = 0
		for _, c := range all {
			if c.Name != "" {
				clinics++
			}
		}
		return err
	})
	if err != nil {
		return who, 0, err
	}
	c, active, err := a.credential(ctx, signInName)
	if active {
		who = SignIn{Clinic: c.Clinic, Account: c.Account, Epoch: c.Epoch}
	}
	return who, clinics, err
}

// DemoAccount returns someone in the demo clinic, to be shown before signing in
// as them.
func (a *App) DemoAccount(ctx context.Context, clinic newel.ClinicID, id newel.AccountID) (actor newel.Actor, err error) {
	err = a.db.InScope(ctx, newel.Scope{Clinic: clinic, Account: id}, func(tx *postgres.Tx) error {
		standing, err := tx.Standing(ctx)
		actor = actorOf(clinic, id, standing)
		return err
	})
	return actor, err
}

// Demo signs in someone from the demo clinic: staff with a sign-in, a caregiver
// with a linked browser. It returns exactly one of the two.
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
