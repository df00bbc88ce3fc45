package demo

import (
	"context"
	"crypto/rand"
	"errors"
	"path"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
)

// ErrNotEmpty: there is a clinic already, and the invented one would be mixed
// with it.
var ErrNotEmpty = errors.New("this database holds a clinic already, and the invented one is made only in an empty database: set NEWEL_DATA_DIR to an empty folder, or start without --demo")

// clinic sets the clinic up as its first administrator would.
func (s *seeder) clinic(ctx context.Context) error {
	link, created, err := s.app.FirstRun(ctx)
	if err != nil {
		return err
	}
	if !created {
		return ErrNotEmpty
	}
	s.lead, err = s.setUp(ctx, link, "Mara Vellinger", "mara@kestrel-yard.example", "supervisor")
	return err
}

// staff adds the others who work there.
func (s *seeder) staff(ctx context.Context) error {
	for _, who := range []struct{ name, mail, part, capacity string }{
		{"Tomas Okeley", "tomas@kestrel-yard.example", "tomas", "supervisor"},
		{"Priya Sandover", "priya@kestrel-yard.example", "trainee", "trainee"},
		{"Jun Abernoth", "jun@kestrel-yard.example", "office", "office"},
	} {
		_, link, err := s.app.AddStaff(ctx, s.lead, app.NewForm(), app.StaffInput{Name: who.name, Email: who.mail, Capacities: []string{who.capacity}})
		if err != nil {
			return err
		}
		if _, err := s.setUp(ctx, link, who.name, who.mail, who.part); err != nil {
			return err
		}
	}
	return nil
}

// setUp uses a set-up link with a password that nobody knows: the invented
// people are signed in by links only.
func (s *seeder) setUp(ctx context.Context, link, name, mail, part string) (newel.Actor, error) {
	password := rand.Text()
	who, err := s.app.FinishSetup(ctx, path.Base(link), app.SetupInput{
		Clinic: ClinicName, TimeZone: "Asia/Kuala_Lumpur", Name: name, Email: mail, Password: password, Again: password,
	})
	if err != nil {
		return newel.Actor{}, err
	}
	s.access.Clinic = who.Clinic
	s.access.Accounts[part] = who.Account
	return s.app.ActorOfSignIn(ctx, who)
}

// library publishes the programs, through the editor's form as a person
// would type them.
func (s *seeder) library(ctx context.Context) error {
	for _, file := range files() {
		d, err := document(file)
		if err != nil {
			return err
		}
		location, err := s.app.NewProgram(ctx, s.lead, app.NewForm(), app.ProgramInput{Title: d.Title, SkillArea: d.SkillArea})
		if err != nil {
			return err
		}
		id, err := newel.ParseID[newel.ProgramID](path.Base(path.Dir(location)))
		if err != nil {
			return err
		}
		s.programs[file] = id
		_, err = s.app.Publish(ctx, s.lead, app.NewForm(), id, app.DraftInput{
			Rev: 1, Sheet: d.Sheet(),
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// household is one invented family.
type household struct {
	name, zone, language string
	child, born          string
	care                 newel.Care
	consentBy            string
	people               []string // who teach; those of phones have one of their own
	phones               []string
	courses              []course
}

func (s *seeder) families(ctx context.Context) error {
	for _, h := range households(s.today) {
		s.at(opened, 9)
		learner, err := s.family(ctx, h)
		if err != nil {
			return err
		}
		for _, c := range h.courses {
			if err := s.teach(ctx, h, learner, c); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *seeder) family(ctx context.Context, h household) (newel.LearnerID, error) {
	var learner newel.LearnerID
	location, err := s.app.AddFamily(ctx, s.lead, app.NewForm(), app.FamilyInput{Name: h.name, TimeZone: h.zone, Language: h.language})
	if err != nil {
		return learner, err
	}
	family, err := newel.ParseID[newel.FamilyID](path.Base(location))
	if err != nil {
		return learner, err
	}
	if err := s.persons(ctx, family, h); err != nil {
		return learner, err
	}
	location, err = s.app.AddLearner(ctx, s.lead, app.NewForm(), family, app.LearnerInput{Nickname: h.child, BirthMonth: h.born})
	if err != nil {
		return learner, err
	}
	learner, err = newel.ParseID[newel.LearnerID](lastID(location))
	if err != nil {
		return learner, err
	}
	return learner, s.ready(ctx, learner, h)
}

// ready gives the consents and says what everybody must know.
func (s *seeder) ready(ctx context.Context, learner newel.LearnerID, h household) error {
	for _, kind := range newel.ConsentKinds {
		in := app.ConsentInput{Kind: string(kind), GivenOn: newel.DayOf(s.clock.at, s.clock.at.Location()).AddDays(-1).String(), GivenBy: h.consentBy}
		if _, err := s.app.GiveConsent(ctx, s.lead, app.NewForm(), learner, in); err != nil {
			return err
		}
	}
	_, err := s.app.SaveCare(ctx, s.lead, app.NewForm(), learner, app.CareInput{Care: h.care})
	return err
}

// persons adds those who teach and binds the phones of those who have one.
func (s *seeder) persons(ctx context.Context, family newel.FamilyID, h household) error {
	for _, name := range h.people {
		if _, err := s.app.AddPerson(ctx, s.lead, app.NewForm(), family, name); err != nil {
			return err
		}
	}
	page, err := s.app.Family(ctx, s.lead, family)
	if err != nil {
		return err
	}
	for _, p := range page.People {
		s.people[p.Name] = p.ID
	}
	for _, name := range h.phones {
		if err := s.phone(ctx, name); err != nil {
			return err
		}
	}
	return nil
}

func (s *seeder) phone(ctx context.Context, name string) error {
	_, link, _, err := s.app.Invite(ctx, s.lead, app.NewForm(), s.people[name])
	if err != nil {
		return err
	}
	device, err := s.app.Join(ctx, path.Base(link), app.NewForm(), "Mozilla/5.0 (Linux; Android 9) Chrome/119.0")
	if err != nil {
		return err
	}
	actor, _, err := s.app.ActorOfDevice(ctx, device)
	if err != nil {
		return err
	}
	s.caregivers[name] = actor
	part := "caregiver"
	if len(s.caregivers) > 1 {
		part = strings.ToLower(name)
	}
	s.access.Accounts[part] = actor.Account
	return nil
}

// lastID gives the last part of a location that is an id.
func lastID(location string) string {
	location, _, _ = strings.Cut(location, "#")
	parts := strings.Split(location, "/")
	for i := len(parts) - 1; i >= 0; i-- {
		if len(parts[i]) == 36 {
			return parts[i]
		}
	}
	return ""
}
