package app

import (
	"context"
	"errors"
	"net/mail"
	"time"
	"unicode/utf8"

	"newel/internal/account"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// FirstRun creates the clinic and its first administrator if there is none yet.
// It returns the path of the administrator's set-up link, which works once,
// within newel.SetupLinkDays. Until it is used, every call creates a new link
// and revokes the previous one. Afterwards created is false.
func (a *App) FirstRun(ctx context.Context) (link string, created bool, err error) {
	err = a.db.WithKey(ctx, postgres.KeyStart, func(tx *postgres.Tx) error {
		link, created = "", false
		clinics, err := tx.UnscopedClinics(ctx)
		if err != nil {
			return err
		}
		var first newel.AccountID
		if len(clinics) == 0 {
			first, err = addFirstAccount(ctx, tx)
		} else {
			first, err = pendingFirstAccount(ctx, tx, clinics[0].ID)
		}
		if err != nil || first.IsZero() {
			return err
		}
		link, err = addSetupLink(ctx, tx, first)
		created = err == nil
		return err
	})
	return link, created, err
}

// addFirstAccount adds a clinic without a name, and its first account.
func addFirstAccount(ctx context.Context, tx *postgres.Tx) (newel.AccountID, error) {
	clinic, first := newel.NewID[newel.ClinicID](), newel.NewID[newel.AccountID]()
	if err := tx.Enter(ctx, newel.Scope{Clinic: clinic, Account: first, Staff: true, WholeClinic: true}); err != nil {
		return first, err
	}
	if err := tx.AddClinic(ctx, newel.Clinic{ID: clinic, TimeZone: "UTC"}); err != nil {
		return first, err
	}
	// Someone has to be able to see families: the first account is also a lead,
	// and can pass on both roles.
	err := tx.AddAccount(ctx, newel.Account{
		ID: first, Name: "Administrator", Active: true,
		Capacities: []newel.Capacity{newel.Administrator, newel.Lead},
	})
	if err != nil {
		return first, err
	}
	return first, tx.Note(ctx, "clinic.created", newel.FamilyID{}, clinic.UUID)
}

// pendingFirstAccount returns the first administrator of a clinic in which no
// one can sign in yet, or a zero id if someone can.
func pendingFirstAccount(ctx context.Context, tx *postgres.Tx, clinic newel.ClinicID) (newel.AccountID, error) {
	none := newel.AccountID{}
	if err := tx.Enter(ctx, newel.Scope{Clinic: clinic, Staff: true, WholeClinic: true}); err != nil {
		return none, err
	}
	staff, err := tx.Staff(ctx)
	if err != nil {
		return none, err
	}
	first := none
	for _, s := range staff {
		if s.HasPassword {
			return none, nil
		}
		if s.Active && s.SignInName == "" && s.Has(newel.Administrator) {
			first = s.ID
		}
	}
	return first, nil
}

// addSetupLink adds a link for an account and returns its path. The token is
// known only here.
func addSetupLink(ctx context.Context, tx *postgres.Tx, id newel.AccountID) (string, error) {
	token := account.NewToken()
	l := newel.SetupLink{
		ID: newel.NewID[newel.SetupLinkID](), Account: id,
		ExpiresAt: tx.Now().Add(newel.SetupLinkDays * 24 * time.Hour),
	}
	if err := tx.AddSetupLink(ctx, l, account.TokenHash(token)); err != nil {
		return "", err
	}
	return href.Setup.To(token), tx.Note(ctx, "account.link_made", newel.FamilyID{}, id.UUID)
}

// SetupPage is what a person sees who opens a set-up link.
type SetupPage struct {
	First      bool // the first administrator: the clinic has no name yet
	Clinic     newel.Clinic
	Name       string
	SignInName string // set by the administrator, unless First
	account    newel.AccountID
	link       newel.SetupLinkID
}

// Setup returns the page of a set-up link. It returns ErrNotFound if the link
// does not exist, and ErrGone if it was used or revoked or has expired.
func (a *App) Setup(ctx context.Context, token string) (page SetupPage, err error) {
	err = a.setup(ctx, token, func(_ *postgres.Tx, p SetupPage) error {
		page = p
		return nil
	})
	return page, err
}

// setup runs fn in the scope of the account of an open link.
func (a *App) setup(ctx context.Context, token string, fn func(*postgres.Tx, SetupPage) error) error {
	hash := account.TokenHash(token)
	return a.db.WithKey(ctx, hash, func(tx *postgres.Tx) error {
		link, err := tx.UnscopedSetupLink(ctx, hash)
		if err != nil {
			return err
		}
		if !link.Usable(tx.Now()) {
			return newel.ErrGone
		}
		if err := tx.Enter(ctx, newel.Scope{Clinic: link.Clinic, Account: link.Account, Staff: true}); err != nil {
			return err
		}
		clinic, err := tx.Clinic(ctx)
		if err != nil {
			return err
		}
		who, err := tx.StaffMember(ctx, link.Account)
		if err != nil {
			return err
		}
		if !who.Active {
			return newel.ErrGone
		}
		return fn(tx, SetupPage{
			First: who.SignInName == "" && clinic.Name == "", Clinic: clinic, Name: who.Name, SignInName: who.SignInName,
			account: link.Account, link: link.ID,
		})
	})
}

// SetupInput is the form of a set-up link. Only the first administrator fills
// in Clinic, TimeZone and Email.
type SetupInput struct{ Clinic, TimeZone, Name, Email, Password, Again string }

// FinishSetup uses up a link and sets the account's password. Of two concurrent
// calls, the second gets ErrGone.
func (a *App) FinishSetup(ctx context.Context, token string, in SetupInput) (SignIn, error) {
	page, err := a.Setup(ctx, token)
	if err != nil {
		return SignIn{}, err
	}
	if err := in.clean(page); err != nil {
		return SignIn{}, err
	}
	hash, err := a.hasher.Hash(ctx, in.Password)
	if err != nil {
		return SignIn{}, err
	}
	var who SignIn
	err = a.setup(ctx, token, func(tx *postgres.Tx, page SetupPage) error {
		if err := tx.UseSetupLink(ctx, page.link); err != nil {
			return err
		}
		if err := saveSetup(ctx, tx, page, in); err != nil {
			return err
		}
		if err := tx.SetPassword(ctx, page.account, hash); err != nil {
			return err
		}
		c, err := tx.Credential(ctx)
		who = SignIn{Clinic: page.Clinic.ID, Account: page.account, Epoch: c.Epoch}
		if err != nil {
			return err
		}
		return tx.Note(ctx, "account.set_up", newel.FamilyID{}, page.account.UUID)
	})
	return who, err
}

func (in *SetupInput) clean(page SetupPage) error {
	invalid := &newel.Invalid{}
	if page.First {
		in.Clinic = invalid.Line("clinic", in.Clinic, newel.MaxName, true)
		in.TimeZone = invalid.TimeZone("time_zone", in.TimeZone)
		in.Email = email(invalid, "email", in.Email)
	} else {
		in.Clinic, in.Email = page.Clinic.Name, page.SignInName
	}
	in.Name = invalid.Line("name", in.Name, newel.MaxName, true)
	passwords := &newel.Invalid{}
	checkNewPassword(passwords, in.Password, in.Again, in.Email, in.Clinic, in.Name)
	invalid.Problems = append(invalid.Problems, passwords.Problems...)
	return invalid.OrNil()
}

func saveSetup(ctx context.Context, tx *postgres.Tx, page SetupPage, in SetupInput) error {
	if page.First {
		if err := tx.ChangeClinic(ctx, in.Clinic, in.TimeZone); err != nil {
			return err
		}
		if err := tx.AddCredential(ctx, page.account, in.Email); err != nil {
			return err
		}
	}
	who, err := tx.StaffMember(ctx, page.account)
	if err != nil {
		return err
	}
	who.Account.Name = in.Name
	return tx.ChangeAccount(ctx, who.Account)
}

// maxEmail follows from RFC 5321, 4.5.3.1.3 (from memory): a path has at most
// 256 octets including its brackets.
const maxEmail = 254

var errNoAddress = errors.New("no address")

// email validates a sign-in address and returns it in the form used for
// comparison.
func email(e *newel.Invalid, field, typed string) string {
	value := e.Line(field, typed, maxEmail, true)
	if value == "" || !utf8.ValidString(value) {
		return value
	}
	if err := address(value); err != nil {
		e.Add(field, "field.email")
	}
	return signInName(value)
}

func address(value string) error {
	parsed, err := mail.ParseAddress(value)
	if err != nil {
		return err
	}
	if parsed.Address != value {
		return errNoAddress // "Name <address>", or a comment
	}
	return nil
}
