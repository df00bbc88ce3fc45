package demo

import (
	"context"
	"crypto/rand"
	"path"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
)

// member is someone who works in the invented clinic.
type member struct{ part, name, mail, capacity string }

// The clinic's staff. part is the last part of the link that signs them in.
var (
	mara = member{"supervisor", "Mara Vellinger", "mara@kestrel-yard.example", "lead"}
	jun  = member{"office", "Jun Abernoth", "jun@kestrel-yard.example", "office"}
	team = []member{
		mara,
		{"tomas", "Tomas Okeley", "tomas@kestrel-yard.example", "supervisor"},
		{"trainee", "Priya Sandover", "priya@kestrel-yard.example", "trainee"},
		jun,
	}
)

// clinic sets up the clinic as its first administrator would, and adds the
// people who write programs.
func (s *seeder) clinic(ctx context.Context) error {
	link, created, err := s.app.FirstRun(ctx)
	if err != nil {
		return err
	}
	if !created {
		return ErrNotEmpty
	}
	if err := s.setUp(ctx, link, mara); err != nil {
		return err
	}
	if s.lead, err = s.app.ActorOfSignIn(ctx, s.staff[mara.part]); err != nil {
		return err
	}
	for _, who := range team[1 : len(team)-1] {
		if err := s.hire(ctx, who); err != nil {
			return err
		}
	}
	return nil
}

func (s *seeder) office(ctx context.Context) error { return s.hire(ctx, jun) }

func (s *seeder) hire(ctx context.Context, who member) error {
	in := app.StaffInput{Name: who.name, Email: who.mail, Capacities: []string{who.capacity}}
	_, link, err := s.app.AddStaff(ctx, s.lead, app.NewForm(), in)
	if err != nil {
		return err
	}
	return s.setUp(ctx, link, who)
}

// setUp uses a set-up link with a password that no one knows, because invented
// people sign in only through links.
func (s *seeder) setUp(ctx context.Context, link string, who member) (err error) {
	password := rand.Text()
	s.staff[who.part], err = s.app.FinishSetup(ctx, path.Base(link), app.SetupInput{
		Clinic: ClinicName, TimeZone: "Asia/Kuala_Lumpur", Name: who.name, Email: who.mail, Password: password, Again: password,
	})
	return err
}

// firstPhone is the person signed in as "caregiver"; everyone else uses their
// own name.
const firstPhone = "Sari"

func phonePart(name string) string {
	if name == firstPhone {
		return "caregiver"
	}
	return strings.ToLower(name)
}

// Find reports whether the database holds the invented clinic and nothing else,
// and returns its accounts. It returns ErrNotEmpty if the database holds
// another clinic, and ErrHalf if the invented one is incomplete. In an empty
// database found is false.
func Find(ctx context.Context, a *app.App) (access Access, found bool, err error) {
	who, clinics, err := a.DemoLead(ctx, mara.mail)
	switch {
	case err != nil:
		return access, false, err
	case clinics == 0:
		return access, false, nil
	case clinics > 1 || who.Clinic.IsZero():
		return access, false, ErrNotEmpty
	}
	lead, err := a.ActorOfSignIn(ctx, who)
	if err != nil {
		return access, false, err
	}
	access = Access{Clinic: who.Clinic, Accounts: map[string]newel.AccountID{}}
	if err := access.staff(ctx, a, lead); err != nil {
		return access, false, err
	}
	if access.Accounts[jun.part].IsZero() {
		return access, false, ErrHalf
	}
	return access, true, access.caregivers(ctx, a, lead)
}

func (x *Access) staff(ctx context.Context, a *app.App, lead newel.Actor) error {
	_, staff, err := a.Staff(ctx, lead)
	for _, s := range staff {
		for _, m := range team {
			if m.mail == s.SignInName {
				x.Accounts[m.part] = s.ID
			}
		}
	}
	return err
}

func (x *Access) caregivers(ctx context.Context, a *app.App, lead newel.Actor) error {
	families, err := a.Families(ctx, lead)
	if err != nil {
		return err
	}
	for _, f := range families {
		page, err := a.Family(ctx, lead, f.ID)
		if err != nil {
			return err
		}
		for _, p := range page.People {
			if p.Account != nil {
				x.Accounts[phonePart(p.Name)] = *p.Account
			}
		}
	}
	return nil
}
