package app

import (
	"context"
	"slices"

	"golang.org/x/text/language"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// FamilyLine is one family in a list.
type FamilyLine struct {
	newel.Family
	Learners []newel.Learner // nickname and id only, unless the actor may see learners
}

// Families lists the families that the actor may see.
func (a *App) Families(ctx context.Context, actor newel.Actor) (lines []FamilyLine, err error) {
	err = a.act(ctx, actor, newel.SeeFamilies, func(tx *postgres.Tx) error {
		families, err := tx.Families(ctx)
		if err != nil {
			return err
		}
		learners, err := tx.Learners(ctx)
		if err != nil {
			return err
		}
		lines = make([]FamilyLine, len(families))
		for i, f := range families {
			lines[i] = FamilyLine{Family: f, Learners: inFamily(actor, learners, f.ID)}
		}
		return nil
	})
	return lines, err
}

func inFamily(actor newel.Actor, learners []newel.Learner, family newel.FamilyID) []newel.Learner {
	var own []newel.Learner
	for _, l := range learners {
		if l.FamilyID == family {
			own = append(own, visible(actor, l))
		}
	}
	return own
}

// visible limits a learner to what the actor may see: people who manage
// contacts and consents do not see alerts and stop signs.
func visible(actor newel.Actor, l newel.Learner) newel.Learner {
	if actor.Can(newel.SeeLearner) {
		return l
	}
	return newel.Learner{ID: l.ID, FamilyID: l.FamilyID, Nickname: l.Nickname, BirthMonth: l.BirthMonth}
}

// FamilyPage is everything about one family except what is taught.
type FamilyPage struct {
	newel.Family
	Learners     []newel.Learner
	People       []FamilyPerson
	LookingAfter []newel.Account   // accounts with the family on their caseload
	MayLookAfter []newel.Account   // accounts that could take it on
	Training     []ProgramTraining // only for actors who may see learners
}

// FamilyPerson is a family member with the ways in which they can sign in.
type FamilyPerson struct {
	newel.Person
	Invitation *newel.Invitation // open one
	Devices    []newel.Device
}

// Family returns the page of a family.
func (a *App) Family(ctx context.Context, actor newel.Actor, id newel.FamilyID) (page FamilyPage, err error) {
	err = a.act(ctx, actor, newel.SeeFamilies, func(tx *postgres.Tx) error {
		page, err = familyPage(ctx, tx, actor, id)
		return err
	})
	return page, err
}

func familyPage(ctx context.Context, tx *postgres.Tx, actor newel.Actor, id newel.FamilyID) (page FamilyPage, err error) {
	if page.Family, err = tx.Family(ctx, id); err != nil {
		return page, err
	}
	learners, err := tx.LearnersOf(ctx, id)
	if err != nil {
		return page, err
	}
	page.Learners = inFamily(actor, learners, id)
	if page.People, err = familyPeople(ctx, tx, id); err != nil {
		return page, err
	}
	if actor.Can(newel.SeeLearner) {
		if page.Training, err = trainingIn(ctx, tx, page.Family, page.Learners); err != nil {
			return page, err
		}
	}
	if page.LookingAfter, err = tx.LookingAfter(ctx, id); err != nil {
		return page, err
	}
	staff, err := tx.Staff(ctx)
	for _, s := range staff {
		if mayLookAfter(s.Account) && !slices.ContainsFunc(page.LookingAfter, func(a newel.Account) bool { return a.ID == s.ID }) {
			page.MayLookAfter = append(page.MayLookAfter, s.Account)
		}
	}
	return page, err
}

func familyPeople(ctx context.Context, tx *postgres.Tx, id newel.FamilyID) ([]FamilyPerson, error) {
	people, err := tx.People(ctx, id)
	if err != nil {
		return nil, err
	}
	invitations, err := tx.InvitationsOf(ctx, id)
	if err != nil {
		return nil, err
	}
	devices, err := tx.DevicesOf(ctx, id)
	if err != nil {
		return nil, err
	}
	list := make([]FamilyPerson, len(people))
	for i, p := range people {
		list[i].Person = p
		for _, inv := range invitations {
			if inv.PersonID == p.ID {
				list[i].Invitation = &inv
			}
		}
		for _, d := range devices {
			if d.Person == p.ID {
				list[i].Devices = append(list[i].Devices, d.Device)
			}
		}
	}
	return list, nil
}

// mayLookAfter reports whether an account can have families on a caseload.
func mayLookAfter(a newel.Account) bool {
	return a.Active && (a.Has(newel.Lead) || a.Has(newel.Supervisor) || a.Has(newel.Trainee))
}

// FamilyInput is the form for a family.
type FamilyInput struct{ Name, TimeZone, Language string }

func (in FamilyInput) clean(id newel.FamilyID) (newel.Family, error) {
	invalid := &newel.Invalid{}
	f := newel.Family{
		ID:       id,
		Name:     invalid.Line("name", in.Name, newel.MaxName, true),
		TimeZone: invalid.TimeZone("time_zone", in.TimeZone),
	}
	if in.Language == "" {
		in.Language = "en"
	}
	tag, err := language.Parse(in.Language)
	if err != nil {
		invalid.Add("language", "field.language")
	}
	f.Language = tag.String()
	return f, invalid.OrNil()
}

// AddFamily adds a family. If the actor can have a caseload, the family is
// added to it.
func (a *App) AddFamily(ctx context.Context, actor newel.Actor, form Form, in FamilyInput) (string, error) {
	f, err := in.clean(newel.NewID[newel.FamilyID]())
	if err != nil {
		return "", err
	}
	// The family does not exist yet, so its id is added to the actor's reach.
	actor.Families = append(slices.Clone(actor.Families), f.ID)
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.AddFamily(ctx, f); err != nil {
			return "", err
		}
		self := newel.Account{ID: actor.Account, Capacities: actor.Capacities, Active: true}
		if mayLookAfter(self) {
			if err := tx.LookAfter(ctx, f.ID, actor.Account); err != nil {
				return "", err
			}
		}
		return href.Family.To(f.ID), tx.Note(ctx, "family.added", f.ID, f.ID.UUID)
	})
}

// ChangeFamily stores a family's name, time zone and language.
func (a *App) ChangeFamily(ctx context.Context, actor newel.Actor, form Form, id newel.FamilyID, in FamilyInput) (string, error) {
	f, err := in.clean(id)
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ChangeFamily(ctx, f); err != nil {
			return "", err
		}
		return href.Family.To(id), tx.Note(ctx, "family.changed", id, id.UUID)
	})
}

// AddPerson adds a person to a family.
func (a *App) AddPerson(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, name string) (string, error) {
	invalid := &newel.Invalid{}
	p := newel.Person{ID: newel.NewID[newel.PersonID](), FamilyID: family, Name: invalid.Line("name", name, newel.MaxName, true)}
	if err := invalid.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Family(ctx, family); err != nil {
			return "", err
		}
		if err := tx.AddPerson(ctx, p); err != nil {
			return "", err
		}
		return href.Family.To(family), tx.Note(ctx, "person.added", family, p.ID.UUID)
	})
}

// Person returns a person of a family.
func (a *App) Person(ctx context.Context, actor newel.Actor, id newel.PersonID) (p newel.Person, err error) {
	err = a.act(ctx, actor, newel.ManageFamilies, func(tx *postgres.Tx) error {
		p, err = tx.Person(ctx, id)
		return err
	})
	return p, err
}

// RenamePerson stores a person's new name.
func (a *App) RenamePerson(ctx context.Context, actor newel.Actor, form Form, id newel.PersonID, name string) (string, error) {
	invalid := &newel.Invalid{}
	name = invalid.Line("name", name, newel.MaxName, true)
	if err := invalid.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		p, err := tx.Person(ctx, id)
		if err != nil {
			return "", err
		}
		if err := tx.RenamePerson(ctx, id, name); err != nil {
			return "", err
		}
		return href.Family.To(p.FamilyID), tx.Note(ctx, "person.changed", p.FamilyID, id.UUID)
	})
}

// LookAfter adds a family to an account's caseload.
func (a *App) LookAfter(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, account newel.AccountID) (string, error) {
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Family(ctx, family); err != nil {
			return "", err
		}
		who, err := tx.StaffMember(ctx, account)
		if err != nil {
			return "", err
		}
		if !mayLookAfter(who.Account) {
			invalid := &newel.Invalid{}
			invalid.Add("account", "family.cannot_look_after")
			return "", invalid
		}
		if err := tx.LookAfter(ctx, family, account); err != nil {
			return "", err
		}
		return href.Family.To(family), tx.Note(ctx, "caseload.joined", family, account.UUID)
	})
}

// StopLookingAfter removes a family from an account's caseload. Actors who
// remove it from their own no longer see it and are sent to the list.
func (a *App) StopLookingAfter(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, account newel.AccountID) (string, error) {
	return a.once(ctx, actor, newel.ManageFamilies, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.StopLookingAfter(ctx, family, account); err != nil {
			return "", err
		}
		to := href.Family.To(family)
		if account == actor.Account && !actor.Scope(newel.ManageFamilies).WholeClinic {
			to = href.Families
		}
		return to, tx.Note(ctx, "caseload.left", family, account.UUID)
	})
}

// ClinicZone returns the time zone in which a new family most likely lives.
func (a *App) ClinicZone(ctx context.Context, actor newel.Actor) (zone string, err error) {
	err = a.act(ctx, actor, newel.ManageFamilies, func(tx *postgres.Tx) error {
		clinic, err := tx.Clinic(ctx)
		zone = clinic.TimeZone
		return err
	})
	return zone, err
}
