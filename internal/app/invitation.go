package app

import (
	"context"
	"errors"
	"time"

	"newel/internal/account"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Invite creates a link that links one browser to a person, and revokes the
// person's previous link. The link is returned only once; it is empty if the
// form was sent before.
func (a *App) Invite(ctx context.Context, actor newel.Actor, form Form, id newel.PersonID) (location, link string, person newel.Person, err error) {
	location, err = a.once(ctx, actor, newel.InviteCaregiver, form, func(tx *postgres.Tx) (string, error) {
		link = ""
		if person, err = tx.PersonForUpdate(ctx, id); err != nil {
			return "", err
		}
		token := account.NewToken()
		inv := newel.Invitation{
			ID: newel.NewID[newel.InvitationID](), FamilyID: person.FamilyID, PersonID: id, CreatedBy: actor.Account,
			ExpiresAt: tx.Now().Add(newel.InvitationDays * 24 * time.Hour),
		}
		if err := tx.AddInvitation(ctx, inv, account.TokenHash(token)); err != nil {
			return "", err
		}
		link = href.Join.To(token)
		return href.Family.To(person.FamilyID), tx.Note(ctx, "invitation.made", person.FamilyID, inv.ID.UUID)
	})
	return location, link, person, err
}

// RevokeInvitation revokes an invitation. It returns ErrGone if the invitation
// was used; revoke the browser instead.
func (a *App) RevokeInvitation(ctx context.Context, actor newel.Actor, form Form, id newel.InvitationID) (string, error) {
	return a.once(ctx, actor, newel.InviteCaregiver, form, func(tx *postgres.Tx) (string, error) {
		family, err := tx.RevokeInvitation(ctx, id)
		if err != nil {
			return "", err
		}
		return href.Family.To(family), tx.Note(ctx, "invitation.revoked", family, id.UUID)
	})
}

// RevokeDevice revokes a browser.
func (a *App) RevokeDevice(ctx context.Context, actor newel.Actor, form Form, id newel.DeviceID) (string, error) {
	return a.once(ctx, actor, newel.InviteCaregiver, form, func(tx *postgres.Tx) (string, error) {
		family, err := tx.RevokeDevice(ctx, id)
		if err != nil {
			return "", err
		}
		return href.Family.To(family), tx.Note(ctx, "device.cut_off", family, id.UUID)
	})
}

// JoinPage is what a person sees who opens an invitation.
type JoinPage struct {
	Clinic     string
	Person     newel.Person
	Language   string
	ends       time.Time
	invitation newel.InvitationID
}

// Invitation returns the page of an invitation. It returns ErrNotFound if the
// invitation does not exist, and ErrGone if it was used or revoked or has
// expired.
func (a *App) Invitation(ctx context.Context, token string) (page JoinPage, err error) {
	hash := account.TokenHash(token)
	err = a.db.WithKey(ctx, hash, func(tx *postgres.Tx) error {
		page, err = joinPage(ctx, tx, hash)
		return err
	})
	return page, err
}

// InvitedAccount returns the account of the person whom an invitation invites,
// in whatever state it is; zero if the person has none. It returns ErrNotFound
// if the invitation does not exist.
func (a *App) InvitedAccount(ctx context.Context, token string) (who newel.AccountID, err error) {
	hash := account.TokenHash(token)
	err = a.db.WithKey(ctx, hash, func(tx *postgres.Tx) error {
		inv, err := tx.UnscopedInvitation(ctx, hash)
		if err != nil {
			return err
		}
		if err := tx.Enter(ctx, newel.Scope{Clinic: inv.Clinic, Families: []newel.FamilyID{inv.FamilyID}}); err != nil {
			return err
		}
		person, err := tx.Person(ctx, inv.PersonID)
		if err == nil && person.Account != nil {
			who = *person.Account
		}
		return err
	})
	return who, err
}

// joinPage enters the scope of the invitation's family and returns its page.
func joinPage(ctx context.Context, tx *postgres.Tx, hash string) (JoinPage, error) {
	inv, err := tx.UnscopedInvitation(ctx, hash)
	if err != nil {
		return JoinPage{}, err
	}
	if !inv.Usable(tx.Now()) {
		return JoinPage{}, newel.ErrGone
	}
	if err := tx.Enter(ctx, newel.Scope{Clinic: inv.Clinic, Families: []newel.FamilyID{inv.FamilyID}}); err != nil {
		return JoinPage{}, err
	}
	clinic, err := tx.Clinic(ctx)
	if err != nil {
		return JoinPage{}, err
	}
	family, err := tx.Family(ctx, inv.FamilyID)
	if err != nil {
		return JoinPage{}, err
	}
	person, err := tx.Person(ctx, inv.PersonID)
	return JoinPage{Clinic: clinic.Name, Person: person, Language: family.Language, ends: inv.ExpiresAt, invitation: inv.ID}, err
}

// Join uses up an invitation and returns the token for the browser to keep. It
// creates an account if the person has none. The same form sent again returns
// the same token; of two browsers, the second gets ErrGone. userAgent is the
// browser's User-Agent.
func (a *App) Join(ctx context.Context, token string, form Form, userAgent string) (string, error) {
	device := account.DeviceToken(token, form.Token.String())
	bound, err := a.alreadyBound(ctx, device)
	if err != nil {
		return "", err
	}
	if bound {
		return device, nil
	}
	hash := account.TokenHash(token)
	err = a.db.WithKey(ctx, hash, func(tx *postgres.Tx) error {
		page, err := joinPage(ctx, tx, hash)
		if err != nil {
			return err
		}
		// Lock the person first: two invitations of one person must not both
		// create an account.
		person, err := tx.PersonForUpdate(ctx, page.Person.ID)
		if err != nil {
			return err
		}
		if err := tx.UseInvitation(ctx, page.invitation); err != nil {
			return err
		}
		return bind(ctx, tx, person, account.TokenHash(device), account.Label(userAgent))
	})
	if errors.Is(err, newel.ErrGone) { // unless the same form has just come in on another connection
		if bound, again := a.alreadyBound(ctx, device); again == nil && bound {
			return device, nil
		}
	}
	if err != nil {
		return "", err
	}
	return device, nil
}

func (a *App) alreadyBound(ctx context.Context, token string) (bool, error) {
	_, _, err := a.ActorOfDevice(ctx, token)
	if errors.Is(err, newel.ErrUnauthenticated) {
		return false, nil
	}
	return err == nil, err
}

// bind creates an account for the person, if there is none, and links the
// browser to it.
func bind(ctx context.Context, tx *postgres.Tx, person newel.Person, hash, label string) error {
	scope := tx.Scope()
	scope.Account = newel.NewID[newel.AccountID]()
	if person.Account != nil {
		scope.Account = *person.Account
	}
	if err := tx.Enter(ctx, scope); err != nil {
		return err
	}
	if person.Account == nil {
		a := newel.Account{ID: scope.Account, Name: person.Name, Capacities: []newel.Capacity{newel.Caregiver}, Active: true}
		if err := tx.AddAccount(ctx, a); err != nil {
			return err
		}
		if err := tx.TiePerson(ctx, person.ID, a.ID); err != nil {
			return err
		}
	}
	d := newel.Device{ID: newel.NewID[newel.DeviceID](), Account: scope.Account, Label: label}
	if err := tx.AddDevice(ctx, d, hash); err != nil {
		return err
	}
	return tx.Note(ctx, "device.bound", person.FamilyID, d.ID.UUID)
}
