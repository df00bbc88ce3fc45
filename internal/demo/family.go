package demo

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/program"
)

// household is one invented family.
type household struct {
	name, zone, language string
	supervisor           string // part of the link of its supervisor
	child, born          string
	care                 newel.Care
	consentBy            string
	consents             []newel.ConsentKind // besides the required ones
	people               []string            // people who teach
	phones               []string            // people with a phone; the others record on the first one
	skills               []shown             // recorded at the first visits
	courses              []course
	unchecked            int // for how many days checks of learned steps have not been done
}

// home is a household being filled, on its own clock.
type home struct {
	household
	app      *app.App
	clock    *clock
	zone     *time.Location
	today    time.Time
	programs map[string]newel.ProgramID

	lead, supervisor newel.Actor
	family           newel.FamilyID
	learner          newel.LearnerID
	phones           map[string]newel.Actor // by name
	people           map[string]newel.PersonID
	recorded         map[string]newel.RecordingID // sessions that later deeds refer to, by name
	kits             map[kitHolder]program.Kit
	decided          map[newel.PlacementID]bool
	learned          []learnedStep
}

// kitHolder is a phone that holds the kit of a placement.
type kitHolder struct {
	phone newel.AccountID
	stay  newel.PlacementID
}

// at sets the clock to an hour of a day in the family's zone, never later than
// now.
func (h *home) at(daysAgo int, hour float64) {
	y, m, d := h.today.In(h.zone).AddDate(0, 0, -daysAgo).Date()
	h.clock.at = time.Date(y, m, d, int(hour), int(hour*60)%60, 0, 0, h.zone)
	if h.clock.at.After(h.today) {
		h.clock.at = h.today
	}
}

// moveIn adds the family with everything that must be known before teaching
// starts, and adds it to its supervisor's caseload.
func (h *home) moveIn(ctx context.Context, looksAfter app.SignIn) error {
	h.at(opened-1, 9)
	location, err := h.app.AddFamily(ctx, h.lead, app.NewForm(), app.FamilyInput{Name: h.name, TimeZone: h.household.zone, Language: h.language})
	if err != nil {
		return err
	}
	family, err := newel.ParseID[newel.FamilyID](path.Base(location))
	if err != nil {
		return err
	}
	h.family = family
	if err := h.lookedAfter(ctx, family, looksAfter); err != nil {
		return err
	}
	if err := h.persons(ctx, family); err != nil {
		return err
	}
	location, err = h.app.AddLearner(ctx, h.supervisor, app.NewForm(), family, app.LearnerInput{Nickname: h.child, BirthMonth: h.born})
	if err != nil {
		return err
	}
	if h.learner, err = newel.ParseID[newel.LearnerID](lastID(location)); err != nil {
		return err
	}
	return h.ready(ctx)
}

func (h *home) lookedAfter(ctx context.Context, family newel.FamilyID, who app.SignIn) error {
	if who.Account != h.lead.Account {
		if _, err := h.app.LookAfter(ctx, h.lead, app.NewForm(), family, who.Account); err != nil {
			return err
		}
		if _, err := h.app.StopLookingAfter(ctx, h.lead, app.NewForm(), family, h.lead.Account); err != nil {
			return err
		}
	}
	var err error
	h.supervisor, err = h.app.ActorOfSignIn(ctx, who)
	return err
}

// ready records the consents and the care notes.
func (h *home) ready(ctx context.Context) error {
	for _, kind := range append(h.consents, newel.ConsentNeeded...) {
		in := app.ConsentInput{Kind: string(kind), GivenOn: newel.DayOf(h.clock.at, h.zone).AddDays(-1).String(), GivenBy: h.consentBy}
		if _, err := h.app.GiveConsent(ctx, h.supervisor, app.NewForm(), h.learner, in); err != nil {
			return err
		}
	}
	if _, err := h.app.SaveCare(ctx, h.supervisor, app.NewForm(), h.learner, app.CareInput{Care: h.care}); err != nil {
		return err
	}
	return h.firstVisits(ctx)
}

// persons adds the people who teach and links the phones of those who have one.
func (h *home) persons(ctx context.Context, family newel.FamilyID) error {
	for _, name := range h.household.people {
		if _, err := h.app.AddPerson(ctx, h.supervisor, app.NewForm(), family, name); err != nil {
			return err
		}
	}
	page, err := h.app.Family(ctx, h.supervisor, family)
	if err != nil {
		return err
	}
	for _, p := range page.People {
		h.people[p.Name] = p.ID
	}
	for _, name := range h.household.phones {
		if err := h.phone(ctx, name); err != nil {
			return err
		}
	}
	return nil
}

func (h *home) phone(ctx context.Context, name string) error {
	_, link, _, err := h.app.Invite(ctx, h.supervisor, app.NewForm(), h.people[name])
	if err != nil {
		return err
	}
	device, err := h.app.Join(ctx, path.Base(link), app.NewForm(), "Mozilla/5.0 (Linux; Android 9) Chrome/119.0")
	if err != nil {
		return err
	}
	h.phones[name], _, err = h.app.ActorOfDevice(ctx, device)
	return err
}

// phoneOf returns the phone that a person records on: their own, or the
// family's.
func (h *home) phoneOf(who string) newel.Actor {
	if own, ok := h.phones[who]; ok {
		return own
	}
	return h.phones[h.household.phones[0]]
}

// placement returns the learner's current placement.
func (h *home) placement(ctx context.Context, program, role, label string) (newel.PlacementID, error) {
	programs, err := h.app.LearnerPrograms(ctx, h.supervisor, h.learner)
	if err != nil {
		return newel.PlacementID{}, err
	}
	for _, p := range programs {
		for _, strand := range p.Strands {
			if p.ProgramID == h.programs[program] && strand.Role == role && strand.Placement != nil && standsOn(strand, label) {
				return strand.Placement.ID, nil
			}
		}
	}
	return newel.PlacementID{}, fmt.Errorf("no open placement: %w", newel.ErrNotFound)
}

func standsOn(strand app.LearnerStrand, label string) bool {
	return slices.ContainsFunc(strand.Steps, func(step program.Step) bool { return step.Key == strand.At && step.Label == label })
}

// lastID returns the last part of a location that is an id.
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
