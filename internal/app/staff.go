package app

import (
	"context"
	"slices"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Staff lists the clinic's staff.
func (a *App) Staff(ctx context.Context, actor newel.Actor) (clinic newel.Clinic, staff []newel.Staff, err error) {
	err = a.act(ctx, actor, newel.ManageAccounts, func(tx *postgres.Tx) error {
		if clinic, err = tx.Clinic(ctx); err != nil {
			return err
		}
		staff, err = tx.Staff(ctx)
		return err
	})
	return clinic, staff, err
}

// StaffMember returns one member of staff.
func (a *App) StaffMember(ctx context.Context, actor newel.Actor, id newel.AccountID) (who newel.Staff, err error) {
	err = a.act(ctx, actor, newel.ManageAccounts, func(tx *postgres.Tx) error {
		who, err = tx.StaffMember(ctx, id)
		return err
	})
	return who, err
}

// StaffInput is the form for a member of staff.
type StaffInput struct {
	Name, Email string
	Capacities  []string
}

// AddStaff adds an account with a sign-in name and creates its set-up link. The
// link is returned only once; it is empty if the form was sent before.
func (a *App) AddStaff(ctx context.Context, actor newel.Actor, form Form, in StaffInput) (location, link string, err error) {
	in, capacities, err := in.clean()
	if err != nil {
		return "", "", err
	}
	location, err = a.once(ctx, actor, newel.ManageAccounts, form, func(tx *postgres.Tx) (string, error) {
		link = ""
		id := newel.NewID[newel.AccountID]()
		if err := tx.AddAccount(ctx, newel.Account{ID: id, Name: in.Name, Capacities: capacities, Active: true}); err != nil {
			return "", err
		}
		if err := tx.AddCredential(ctx, id, in.Email); err != nil {
			return "", err
		}
		if link, err = addSetupLink(ctx, tx, id); err != nil {
			return "", err
		}
		return href.StaffMember.To(id), tx.Note(ctx, "account.added", newel.FamilyID{}, id.UUID)
	})
	return location, link, err
}

func (in StaffInput) clean() (StaffInput, []newel.Capacity, error) {
	invalid := &newel.Invalid{}
	in.Name = invalid.Line("name", in.Name, newel.MaxName, true)
	in.Email = email(invalid, "email", in.Email)
	capacities := staffCapacities(invalid, in.Capacities)
	return in, capacities, invalid.OrNil()
}

func staffCapacities(e *newel.Invalid, chosen []string) []newel.Capacity {
	var cs []newel.Capacity
	for _, c := range newel.Capacities {
		if c.IsStaff() && slices.Contains(chosen, string(c)) {
			cs = append(cs, c)
		}
	}
	for _, c := range chosen {
		if !newel.Capacity(c).IsStaff() {
			e.Add("capacities", "people.capacity_unknown")
			return nil
		}
	}
	if len(cs) == 0 {
		e.Add("capacities", "people.capacity_required")
	}
	return cs
}

// ChangeStaff stores a name, a sign-in name and capacities. The last
// administrator must remain one.
func (a *App) ChangeStaff(ctx context.Context, actor newel.Actor, form Form, id newel.AccountID, in StaffInput) (string, error) {
	in, capacities, err := in.clean()
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.ManageAccounts, form, func(tx *postgres.Tx) (string, error) {
		who, err := tx.StaffMember(ctx, id)
		if err != nil {
			return "", err
		}
		if !slices.Contains(capacities, newel.Administrator) {
			if err := checkNotLast(ctx, tx, id); err != nil {
				return "", err
			}
		}
		if who.Has(newel.Caregiver) { // comes from an invitation, not from this form
			capacities = append(capacities, newel.Caregiver)
		}
		who.Account.Name, who.Capacities = in.Name, capacities
		if err := tx.ChangeAccount(ctx, who.Account); err != nil {
			return "", err
		}
		if err := saveEmail(ctx, tx, who, in.Email); err != nil {
			return "", err
		}
		return href.StaffMember.To(id), tx.Note(ctx, "account.changed", newel.FamilyID{}, id.UUID)
	})
}

func saveEmail(ctx context.Context, tx *postgres.Tx, who newel.Staff, email string) error {
	switch {
	case who.SignInName == email:
		return nil
	case who.SignInName == "":
		return tx.AddCredential(ctx, who.ID, email)
	}
	return tx.ChangeSignInName(ctx, who.ID, email)
}

// checkNotLast returns an Invalid if the account is the only administrator who
// can sign in. Its locks serialize concurrent deactivations.
func checkNotLast(ctx context.Context, tx *postgres.Tx, id newel.AccountID) error {
	admins, err := tx.LockAdministrators(ctx)
	if err != nil {
		return err
	}
	if len(admins) == 1 && admins[0] == id {
		invalid := &newel.Invalid{}
		invalid.Add("capacities", "people.last_administrator")
		return invalid
	}
	return nil
}

// MakeSetupLink creates a new link for a staff account and revokes the previous
// one, for example after a forgotten password. The link is returned only once;
// it is empty if the form was sent before.
func (a *App) MakeSetupLink(ctx context.Context, actor newel.Actor, form Form, id newel.AccountID) (location, link string, err error) {
	location, err = a.once(ctx, actor, newel.ManageAccounts, form, func(tx *postgres.Tx) (string, error) {
		link = ""
		who, err := tx.StaffMember(ctx, id)
		if err != nil {
			return "", err
		}
		if !who.Active {
			return "", newel.ErrConflict
		}
		if who.SignInName == "" {
			invalid := &newel.Invalid{}
			invalid.Add("email", "people.email_first")
			return "", invalid
		}
		link, err = addSetupLink(ctx, tx, id)
		return href.StaffMember.To(id), err
	})
	return location, link, err
}

// RevokeSetupLink revokes the account's link.
func (a *App) RevokeSetupLink(ctx context.Context, actor newel.Actor, form Form, id newel.AccountID) (string, error) {
	return a.once(ctx, actor, newel.ManageAccounts, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.RevokeSetupLinks(ctx, id); err != nil {
			return "", err
		}
		return href.StaffMember.To(id), tx.Note(ctx, "account.link_revoked", newel.FamilyID{}, id.UUID)
	})
}

// SetStaffActive deactivates an account or activates it again. Deactivating
// ends all sign-ins and prevents new ones. The last administrator cannot be
// deactivated.
func (a *App) SetStaffActive(ctx context.Context, actor newel.Actor, form Form, id newel.AccountID, active bool) (string, error) {
	return a.once(ctx, actor, newel.ManageAccounts, form, func(tx *postgres.Tx) (string, error) {
		who, err := tx.StaffMember(ctx, id)
		if err != nil {
			return "", err
		}
		if !active {
			if err := checkNotLast(ctx, tx, id); err != nil {
				return "", err
			}
		}
		who.Active = active
		if err := tx.ChangeAccount(ctx, who.Account); err != nil {
			return "", err
		}
		if !active && who.LinkID != nil {
			if err := tx.RevokeSetupLinks(ctx, id); err != nil {
				return "", err
			}
		}
		entry := map[bool]string{true: "account.switched_on", false: "account.switched_off"}[active]
		return href.StaffMember.To(id), tx.Note(ctx, entry, newel.FamilyID{}, id.UUID)
	})
}

// ClinicInput is the form for the clinic itself.
type ClinicInput struct{ Clinic, TimeZone string }

// ChangeClinic stores the clinic's name and time zone.
func (a *App) ChangeClinic(ctx context.Context, actor newel.Actor, form Form, in ClinicInput) (string, error) {
	invalid := &newel.Invalid{}
	in.Clinic = invalid.Line("clinic", in.Clinic, newel.MaxName, true)
	in.TimeZone = invalid.TimeZone("time_zone", in.TimeZone)
	if err := invalid.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.ManageClinic, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ChangeClinic(ctx, in.Clinic, in.TimeZone); err != nil {
			return "", err
		}
		return href.People, tx.Note(ctx, "clinic.changed", newel.FamilyID{}, actor.Clinic.UUID)
	})
}

// Clinic returns the actor's clinic, for people who manage it.
func (a *App) Clinic(ctx context.Context, actor newel.Actor) (clinic newel.Clinic, err error) {
	err = a.act(ctx, actor, newel.ManageClinic, func(tx *postgres.Tx) error {
		clinic, err = tx.Clinic(ctx)
		return err
	})
	return clinic, err
}
