package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// SignIn is what a browser stores of a password sign-in.
type SignIn struct {
	Clinic  newel.ClinicID
	Account newel.AccountID
	Epoch   int // of the credential when the password was given
}

// TooManyTries reports too many failed tries for a sign-in name, and how long
// to wait.
type TooManyTries struct{ Wait time.Duration }

func (e *TooManyTries) Error() string { return "too many tries" }

// ActorOfSignIn returns the signed-in actor. It returns ErrUnauthenticated if
// the account was deactivated or its password was changed since.
func (a *App) ActorOfSignIn(ctx context.Context, s SignIn) (actor newel.Actor, err error) {
	err = a.db.InScope(ctx, newel.Scope{Clinic: s.Clinic, Account: s.Account}, func(tx *postgres.Tx) error {
		standing, err := tx.Standing(ctx)
		if err != nil {
			return unknown(err)
		}
		if !standing.Active || standing.Epoch != s.Epoch {
			return newel.ErrUnauthenticated
		}
		actor = actorOf(s.Clinic, s.Account, standing)
		return nil
	})
	return actor, err
}

// ActorOfDevice returns the owner of the browser that holds the token.
// firstToday reports the browser's first use today. It returns
// ErrUnauthenticated if the browser was revoked or is locked, or if its owner
// was deactivated.
func (a *App) ActorOfDevice(ctx context.Context, token string) (actor newel.Actor, firstToday bool, err error) {
	hash := account.TokenHash(token)
	err = a.db.WithKey(ctx, hash, func(tx *postgres.Tx) error {
		device, err := tx.UnscopedDevice(ctx, hash)
		if err != nil {
			return unknown(err)
		}
		if err := tx.Enter(ctx, newel.Scope{Clinic: device.Clinic, Account: device.Account}); err != nil {
			return err
		}
		standing, err := tx.Standing(ctx)
		if err != nil {
			return unknown(err)
		}
		if device.Locked || !standing.Active {
			return newel.ErrUnauthenticated
		}
		actor = actorOf(device.Clinic, device.Account, standing)
		actor.Device = device.ID
		if firstToday = device.SeenOn.Before(newel.DayOf(tx.Now(), time.UTC)); firstToday {
			return tx.SeeDevice(ctx, device.ID)
		}
		return nil
	})
	return actor, firstToday, err
}

func actorOf(clinic newel.ClinicID, id newel.AccountID, s newel.Standing) newel.Actor {
	return newel.Actor{Clinic: clinic, Account: id, Name: s.Name, Capacities: s.Capacities, Families: s.Families}
}

// unknown turns ErrNotFound about a caller into ErrUnauthenticated.
func unknown(err error) error {
	if errors.Is(err, newel.ErrNotFound) {
		return newel.ErrUnauthenticated
	}
	return err
}

// signInName returns a sign-in name in the form used for comparison: an email
// address in lower case.
func signInName(typed string) string {
	return strings.ToLower(norm.NFC.String(strings.TrimSpace(typed)))
}

// SignInWith signs in with a name and a password. An unknown name, a wrong
// password, an account without a password and a deactivated account all cost
// the same work and return ErrUnauthenticated. After many failures it returns
// *TooManyTries. address is the client's address.
func (a *App) SignInWith(ctx context.Context, name, password, address string) (SignIn, error) {
	name = signInName(name)
	throttleKey := account.TokenHash(name)
	if wait := a.throttle.Wait(throttleKey, address, a.now()); wait > 0 {
		return SignIn{}, &TooManyTries{Wait: wait}
	}
	c, active, err := a.credential(ctx, name)
	if err != nil {
		return SignIn{}, err
	}
	// Hash outside the transaction: hashing waits for its turn and must not
	// hold a connection meanwhile.
	ok, outdated, err := a.hasher.Check(ctx, c.PasswordHash, password)
	if err != nil {
		return SignIn{}, fmt.Errorf("check password: %w", err)
	}
	if !ok || !active {
		a.throttle.Failed(throttleKey, address, a.now())
		return SignIn{}, newel.ErrUnauthenticated
	}
	a.throttle.Succeeded(throttleKey, address, a.now())
	if err := a.signedIn(ctx, c, password, outdated); err != nil {
		return SignIn{}, err
	}
	return SignIn{Clinic: c.Clinic, Account: c.Account, Epoch: c.Epoch}, nil
}

// credential returns the credential of a name and whether its account is
// active, or a zero credential for an unknown name. Both cases take the same
// statements.
func (a *App) credential(ctx context.Context, name string) (c newel.Credential, active bool, err error) {
	err = a.db.WithKey(ctx, name, func(tx *postgres.Tx) error {
		c, active = newel.Credential{}, false
		found, err := tx.UnscopedCredential(ctx, name)
		if err != nil && !errors.Is(err, newel.ErrNotFound) {
			return err
		}
		if err := tx.Enter(ctx, newel.Scope{Clinic: found.Clinic, Account: found.Account}); err != nil {
			return err
		}
		standing, err := tx.Standing(ctx)
		if errors.Is(err, newel.ErrNotFound) {
			return nil
		}
		c, active = found, standing.Active
		return err
	})
	return c, active, err
}

// signedIn records a sign-in, and rehashes the password if its hash uses less
// work than today's.
func (a *App) signedIn(ctx context.Context, c newel.Credential, password string, outdated bool) error {
	var again string
	if outdated {
		var err error
		if again, err = a.hasher.Hash(ctx, password); err != nil {
			return fmt.Errorf("hash again: %w", err)
		}
	}
	return a.db.InScope(ctx, newel.Scope{Clinic: c.Clinic, Account: c.Account, Staff: true}, func(tx *postgres.Tx) error {
		if again != "" {
			if err := tx.Rehash(ctx, c.Account, c.PasswordHash, again); err != nil {
				return err
			}
		}
		return tx.Note(ctx, "account.signed_in", newel.FamilyID{}, c.Account.UUID)
	})
}

// SignInName returns the actor's sign-in name.
func (a *App) SignInName(ctx context.Context, actor newel.Actor) (name string, err error) {
	err = a.act(ctx, actor, newel.KeepSignIn, func(tx *postgres.Tx) error {
		c, err := tx.Credential(ctx)
		if errors.Is(err, newel.ErrNotFound) {
			return nil // someone from the demo clinic
		}
		name = c.SignInName
		return err
	})
	return name, err
}

// PasswordChange is the form for changing one's own password.
type PasswordChange struct{ Current, New, Again string }

// ChangePassword changes the actor's password. It ends all other sign-ins; the
// returned one stays valid.
func (a *App) ChangePassword(ctx context.Context, actor newel.Actor, in PasswordChange, address string) (SignIn, error) {
	var c newel.Credential
	var clinic newel.Clinic
	err := a.act(ctx, actor, newel.KeepSignIn, func(tx *postgres.Tx) (err error) {
		if clinic, err = tx.Clinic(ctx); err != nil {
			return err
		}
		c, err = tx.Credential(ctx)
		return err
	})
	if err != nil {
		return SignIn{}, err
	}
	if err := a.checkCurrent(ctx, c, in.Current, address); err != nil {
		return SignIn{}, err
	}
	hash, err := a.newPassword(ctx, in.New, in.Again, c.SignInName, clinic.Name, actor.Name)
	if err != nil {
		return SignIn{}, err
	}
	err = a.act(ctx, actor, newel.KeepSignIn, func(tx *postgres.Tx) error {
		if err := tx.SetPassword(ctx, actor.Account, hash); err != nil {
			return err
		}
		if c, err = tx.Credential(ctx); err != nil {
			return err
		}
		return tx.Note(ctx, "account.password_changed", newel.FamilyID{}, actor.Account.UUID)
	})
	return SignIn{Clinic: actor.Clinic, Account: actor.Account, Epoch: c.Epoch}, err
}

// checkCurrent limits guessing just as signing in does, so that no one can find
// out the password at an unlocked desk.
func (a *App) checkCurrent(ctx context.Context, c newel.Credential, password, address string) error {
	key := account.TokenHash(c.SignInName)
	if wait := a.throttle.Wait(key, address, a.now()); wait > 0 {
		return &TooManyTries{Wait: wait}
	}
	ok, _, err := a.hasher.Check(ctx, c.PasswordHash, password)
	if err != nil {
		return fmt.Errorf("check password: %w", err)
	}
	if !ok {
		a.throttle.Failed(key, address, a.now())
		invalid := &newel.Invalid{}
		invalid.Add("current", "password.wrong")
		return invalid
	}
	return nil
}

// newPassword validates and hashes a password that was typed twice.
func (a *App) newPassword(ctx context.Context, password, again string, known ...string) (string, error) {
	invalid := &newel.Invalid{}
	checkNewPassword(invalid, password, again, known...)
	if err := invalid.OrNil(); err != nil {
		return "", err
	}
	hash, err := a.hasher.Hash(ctx, password)
	if err != nil {
		return "", fmt.Errorf("hash password: %w", err)
	}
	return hash, nil
}

func checkNewPassword(e *newel.Invalid, password, again string, known ...string) {
	account.CheckPassword(e, "password", password, known...)
	if len(e.Problems) == 0 && password != again {
		e.Add("again", "password.differs")
	}
}
