package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Limits of a PIN's length, in digits.
const (
	minPIN = 4
	maxPIN = 8
)

// maxPINTries consecutive wrong PINs revoke the browser: someone who finds the
// phone can try five of the 10,000 four-digit PINs.
const maxPINTries = 5

// pinDelays is how long to wait after the first, second … wrong PIN: no wait
// after a typing error, then long enough to discourage guessing.
var pinDelays = [maxPINTries]time.Duration{0, 5 * time.Second, 30 * time.Second, 5 * time.Minute, 0}

// PINProblem is why a PIN was not accepted.
type PINProblem string

// The problems.
const (
	PINWrong PINProblem = "wrong_pin"
	PINWait  PINProblem = "wait"   // not checked yet
	PINRenew PINProblem = "renew"  // revoked; needs a new invitation
	PINNone  PINProblem = "no_pin" // none was set; needs a new invitation
)

// PINError is returned for a PIN that was not accepted.
type PINError struct {
	Problem PINProblem
	Left    int           // tries left
	Wait    time.Duration // until the next try is allowed
}

// Error names the problem.
func (e *PINError) Error() string { return "PIN: " + string(e.Problem) }

// WaitSeconds is the wait in whole seconds, rounded up.
func (e *PINError) WaitSeconds() int { return int(math.Ceil(e.Wait.Seconds())) }

func checkPIN(pin string) error {
	digits := strings.Trim(pin, "0123456789") == ""
	if n := len(pin); !digits || n < minPIN || n > maxPIN {
		invalid := &newel.Invalid{}
		invalid.Add("pin", "phone.pin_bad")
		return invalid
	}
	return nil
}

// KnownPhone is one of the browser credentials on a phone, with its owner.
type KnownPhone struct {
	Token    string
	Device   newel.DeviceID
	Account  newel.AccountID
	Initials string
	PINSet   bool
	Locked   bool          // locked until its PIN is entered
	Wait     time.Duration // until its PIN may be tried again
	clinic   newel.ClinicID
	tries    int
}

// KnownPhones returns the credentials that are still valid. If an account has
// several, the first counts.
func (a *App) KnownPhones(ctx context.Context, tokens []string) ([]KnownPhone, error) {
	var known []KnownPhone
	seen := map[newel.AccountID]bool{}
	for _, token := range tokens {
		k, err := a.knownPhone(ctx, token)
		if errors.Is(err, newel.ErrUnauthenticated) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if !seen[k.Account] {
			seen[k.Account] = true
			known = append(known, k)
		}
	}
	return known, nil
}

func (a *App) knownPhone(ctx context.Context, token string) (k KnownPhone, err error) {
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
		if !standing.Active {
			return newel.ErrUnauthenticated
		}
		pin, err := tx.OwnPIN(ctx, device.ID)
		if err != nil {
			return unknown(err)
		}
		k = KnownPhone{
			Token: token, Device: device.ID, Account: device.Account, Initials: initials(standing.Name), PINSet: pin.Set(), Locked: device.Locked,
			clinic: device.Clinic, tries: pin.Tries,
		}
		if pin.After != nil {
			k.Wait = max(0, pin.After.Sub(tx.Now()))
		}
		return nil
	})
	return k, err
}

// initials shortens a name just enough to distinguish the people of a
// household.
func initials(name string) string {
	var out strings.Builder
	for _, word := range strings.Fields(name) {
		if r, _ := utf8.DecodeRuneInString(word); unicode.IsLetter(r) && utf8.RuneCountInString(out.String()) < 2 {
			out.WriteRune(unicode.ToUpper(r))
		}
	}
	return out.String()
}

// OpenPhone checks the PIN of one of the phone's people. It returns a *PINError
// if the PIN is not accepted.
func (a *App) OpenPhone(ctx context.Context, k KnownPhone, pin string) error {
	switch {
	case !k.PINSet:
		return &PINError{Problem: PINNone}
	case k.tries >= maxPINTries:
		return a.renew(ctx, k)
	case k.Wait > 0:
		return &PINError{Problem: PINWait, Left: maxPINTries - k.tries, Wait: k.Wait}
	}
	scope := newel.Scope{Clinic: k.clinic, Account: k.Account}
	wait := pinDelays[k.tries]
	var kept postgres.PIN
	err := a.db.InScope(ctx, scope, func(tx *postgres.Tx) (err error) {
		kept, err = tx.TryPIN(ctx, k.Device, maxPINTries, wait)
		return err
	})
	if errors.Is(err, newel.ErrNotFound) { // another try came first
		return &PINError{Problem: PINWait, Left: maxPINTries - k.tries, Wait: max(wait, time.Second)}
	}
	if err != nil {
		return err
	}
	// Hash outside the transaction, because hashing waits for its turn.
	ok, _, err := a.hasher.Check(ctx, *kept.Hash, pin)
	switch {
	case err != nil:
		return fmt.Errorf("check PIN: %w", err)
	case ok:
		return a.db.InScope(ctx, scope, func(tx *postgres.Tx) error { return tx.PassPIN(ctx, k.Device) })
	case kept.Tries >= maxPINTries:
		return a.renew(ctx, k)
	}
	return &PINError{Problem: PINWrong, Left: maxPINTries - kept.Tries, Wait: wait}
}

// LockUntilPIN locks one of the phone's browsers until its PIN is entered.
func (a *App) LockUntilPIN(ctx context.Context, k KnownPhone) error {
	return a.db.InScope(ctx, newel.Scope{Clinic: k.clinic, Account: k.Account}, func(tx *postgres.Tx) error {
		return tx.LockUntilPIN(ctx, k.Device)
	})
}

// LeavePhone revokes one of the phone's browsers at its user's request.
func (a *App) LeavePhone(ctx context.Context, k KnownPhone) error {
	return a.revokePhone(ctx, k, "device.left")
}

// renew revokes a browser after too many wrong PINs.
func (a *App) renew(ctx context.Context, k KnownPhone) error {
	err := a.revokePhone(ctx, k, "device.pin_spent")
	if err != nil && !errors.Is(err, newel.ErrNotFound) {
		return err
	}
	return &PINError{Problem: PINRenew}
}

// SetPIN sets the PIN of the actor's own browser. If there is one already,
// current must match it.
func (a *App) SetPIN(ctx context.Context, actor newel.Actor, token, pin, current string) error {
	if err := checkPIN(pin); err != nil {
		return err
	}
	k, err := a.knownPhone(ctx, token)
	if err != nil {
		return err
	}
	if k.PINSet {
		if err := a.OpenPhone(ctx, k, current); err != nil {
			return err
		}
	}
	hash, err := a.hasher.Hash(ctx, pin)
	if err != nil {
		return fmt.Errorf("hash PIN: %w", err)
	}
	return a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		if err := tx.SetPIN(ctx, actor.Device, hash); err != nil {
			return err
		}
		return tx.Note(ctx, "device.pin_set", newel.FamilyID{}, actor.Device.UUID)
	})
}

func (a *App) revokePhone(ctx context.Context, k KnownPhone, entry string) error {
	return a.db.InScope(ctx, newel.Scope{Clinic: k.clinic, Account: k.Account}, func(tx *postgres.Tx) error {
		if err := tx.LeaveDevice(ctx, k.Device); err != nil {
			return err
		}
		return tx.Note(ctx, entry, newel.FamilyID{}, k.Device.UUID)
	})
}
