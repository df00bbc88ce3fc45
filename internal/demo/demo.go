// Package demo fills an installation with an invented clinic, the way people
// would: through app, at moments in the past that its own clock gives. The
// clinic, its people and its numbers are made up.
package demo

import (
	"context"
	"embed"
	"encoding/json"
	"fmt"
	"path"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/newel"
)

//go:embed programs/*.json
var programFiles embed.FS

// ClinicName is what the invented clinic is called.
const ClinicName = "Kestrel Yard Early Years Clinic"

// Access says which accounts of the invented clinic a link may sign in as.
type Access struct {
	Clinic   newel.ClinicID             `json:"clinic"`
	Accounts map[string]newel.AccountID `json:"accounts"` // "supervisor", "caregiver" …
}

// Clock is a clock that stands where it was put. The App that Seed is given
// must run on it.
type Clock struct{ at time.Time }

// Now gives the moment the clock was put to.
func (c *Clock) Now() time.Time { return c.at }

// seeder carries what the parts of seeding share.
type seeder struct {
	app   *app.App
	clock *Clock
	today time.Time // the moment at which everything ends

	lead       newel.Actor
	access     Access
	programs   map[string]newel.ProgramID // by file
	caregivers map[string]newel.Actor     // by person's name
	people     map[string]newel.PersonID  // by name
}

// Seed fills an empty installation; everything that happens in it has
// happened by now. It gives ErrNotEmpty if there is a clinic already.
func Seed(ctx context.Context, a *app.App, clock *Clock, now time.Time) (Access, error) {
	s := &seeder{
		app: a, clock: clock, today: now,
		access:     Access{Accounts: map[string]newel.AccountID{}},
		programs:   map[string]newel.ProgramID{},
		caregivers: map[string]newel.Actor{}, people: map[string]newel.PersonID{},
	}
	s.at(opened, 8)
	for _, part := range []func(context.Context) error{s.clinic, s.staff, s.library, s.families} {
		if err := part(ctx); err != nil {
			return Access{}, fmt.Errorf("invent a clinic: %w", err)
		}
	}
	return s.access, nil
}

// opened is how many days ago the invented clinic was set up.
const opened = 60

// at puts the clock to an hour of a day so many days ago, never later than
// now.
func (s *seeder) at(daysAgo, hour int) {
	y, m, d := s.today.AddDate(0, 0, -daysAgo).UTC().Date()
	s.clock.at = time.Date(y, m, d, hour, 0, 0, 0, time.UTC)
	if s.clock.at.After(s.today) {
		s.clock.at = s.today
	}
}

// document reads one of the programs.
func document(file string) (newel.Document, error) {
	b, err := programFiles.ReadFile("programs/" + file + ".json")
	if err != nil {
		return newel.Document{}, err
	}
	dec := json.NewDecoder(strings.NewReader(string(b)))
	dec.DisallowUnknownFields()
	var d newel.Document
	if err := dec.Decode(&d); err != nil {
		return d, fmt.Errorf("%s: %w", file, err)
	}
	return d, nil
}

// files lists the programs by file name.
func files() []string {
	entries, _ := programFiles.ReadDir("programs")
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), path.Ext(e.Name()))
	}
	return names
}
