// Package demo fills an installation with an invented clinic, the way people
// would: through app, at moments in the past that clocks of its own give. The
// clinic, its people and its numbers are made up.
package demo

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
)

// ClinicName is what the invented clinic is called.
const ClinicName = "Kestrel Yard Early Years Clinic"

// ErrNotEmpty: there is a clinic already, and the invented one would be mixed
// with it.
var ErrNotEmpty = errors.New("this database holds a clinic that is not the invented one, and nothing of it was touched: set NEWEL_DATA_DIR to an empty folder, or start without --demo")

// ErrHalf: the invented clinic is there, but whatever filled it was cut short.
var ErrHalf = errors.New("the invented clinic was filled only in part: newel demo reset empties it and fills it again")

// Access says which accounts of the invented clinic a link may sign in as.
type Access struct {
	Clinic   newel.ClinicID
	Accounts map[string]newel.AccountID // "supervisor", "caregiver" …
}

// clock is a clock that stands where it was put.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

// seeder carries what the parts of seeding share.
type seeder struct {
	app   *app.App // on clock
	clock *clock
	today time.Time // the moment at which everything ends

	staff    map[string]app.SignIn      // by part
	programs map[string]newel.ProgramID // by the name of the starter
	lead     newel.Actor
}

// opened is how many days ago the invented clinic was set up.
const opened = 100

// Seed fills an empty installation; everything that happens in it has
// happened by now. It gives ErrNotEmpty if there is a clinic already.
func Seed(ctx context.Context, a *app.App, now time.Time) (Access, error) {
	c := &clock{}
	s := &seeder{
		app: a.OnClock(c.now), clock: c, today: now,
		staff: map[string]app.SignIn{}, programs: map[string]newel.ProgramID{},
	}
	c.at = now.AddDate(0, 0, -opened)
	// The office comes last: who finds Jun finds everything.
	for _, part := range []func(context.Context) error{s.clinic, s.library, s.families, s.drafts, s.office} {
		if err := part(ctx); err != nil {
			return Access{}, fmt.Errorf("invent a clinic: %w", err)
		}
	}
	access, found, err := Find(ctx, a)
	if err == nil && !found {
		err = ErrHalf
	}
	return access, err
}

// atOnce is how many families are filled at a time.
const atOnce = 3

// families fills each on an App and a clock of its own, some at a time: what
// happened in one bears on no other.
func (s *seeder) families(ctx context.Context) error {
	list := households(s.today)
	errs := make([]error, len(list))
	slots := make(chan struct{}, atOnce)
	var all sync.WaitGroup
	for i, h := range list {
		all.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			errs[i] = s.household(ctx, h)
		})
	}
	all.Wait()
	return errors.Join(errs...)
}

func (s *seeder) household(ctx context.Context, h household) error {
	zone, err := timezone.Load(h.zone)
	if err != nil {
		return fmt.Errorf("%s: %w", h.name, err)
	}
	c := &clock{}
	home := &home{
		household: h, app: s.app.OnClock(c.now), clock: c, zone: zone, today: s.today, programs: s.programs,
		lead: s.lead, phones: map[string]newel.Actor{}, people: map[string]newel.PersonID{}, recorded: map[string]newel.RecordingID{},
		kits: map[holding]program.Kit{}, decided: map[newel.PlacementID]bool{},
	}
	if err := home.movesIn(ctx, s.staff[h.supervisor]); err != nil {
		return fmt.Errorf("%s: %w", h.name, err)
	}
	for _, course := range h.courses {
		if err := home.learns(ctx, course); err != nil {
			return fmt.Errorf("%s, %s: %w", h.name, course.program, err)
		}
	}
	return nil
}
