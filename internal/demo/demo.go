// Package demo fills an installation with an invented clinic the way people
// would: through app, on clocks set to times in the past. The clinic, its
// people and its numbers are invented.
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

// ClinicName is the name of the invented clinic.
const ClinicName = "Kestrel Yard Early Years Clinic"

// ErrNotEmpty means that the database already holds another clinic, which the
// invented one must not be mixed with.
var ErrNotEmpty = errors.New("this database holds a clinic that is not the invented one, and nothing of it was touched: set NEWEL_DATA_DIR to an empty folder, or start without --demo")

// ErrHalf means that filling the invented clinic was interrupted.
var ErrHalf = errors.New("the invented clinic was filled only in part: newel demo reset empties it and fills it again")

// Access lists the accounts of the invented clinic that a link may sign in to.
type Access struct {
	Clinic   newel.ClinicID
	Accounts map[string]newel.AccountID // "supervisor", "caregiver" …
}

// clock is a clock that shows the time it was set to.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

// seeder holds what the parts of seeding share.
type seeder struct {
	app   *app.App // on clock
	clock *clock
	today time.Time // the time at which everything ends

	staff    map[string]app.SignIn      // by part
	programs map[string]newel.ProgramID // by the name of the starter
	lead     newel.Actor
}

// opened is how many days ago the invented clinic was set up.
const opened = 100

// Seed fills an empty installation. Everything in it lies in the past. It
// returns ErrNotEmpty if there is a clinic already.
func Seed(ctx context.Context, a *app.App, now time.Time) (Access, error) {
	c := &clock{}
	s := &seeder{
		app: a.OnClock(c.now), clock: c, today: now,
		staff: map[string]app.SignIn{}, programs: map[string]newel.ProgramID{},
	}
	c.at = now.AddDate(0, 0, -opened)
	// The office comes last: a database that has Jun is complete.
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

// atOnce is the number of families filled concurrently.
const atOnce = 3

// families fills the families concurrently, each with its own App and clock,
// because they do not depend on each other.
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
		kits: map[kitHolder]program.Kit{}, decided: map[newel.PlacementID]bool{},
	}
	if err := home.moveIn(ctx, s.staff[h.supervisor]); err != nil {
		return fmt.Errorf("%s: %w", h.name, err)
	}
	for _, course := range h.courses {
		if err := home.learns(ctx, course); err != nil {
			return fmt.Errorf("%s, %s: %w", h.name, course.program, err)
		}
	}
	if err := home.looksAgain(ctx); err != nil {
		return fmt.Errorf("%s: %w", h.name, err)
	}
	return nil
}
