package app_test

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/program"
)

// An editor saves at every pause in typing. Saving and opening take a few
// statements, however long the program is.
func TestADraftOfSixtyStepsTakesFewStatements(t *testing.T) {
	t.Parallel()
	db, c := pgtest.New(t), &counter{}
	conf, err := pgxpool.ParseConfig(db.URL)
	if err != nil {
		t.Fatal(err)
	}
	conf.ConnConfig.Tracer = c
	pool, err := pgxpool.NewWithConfig(context.Background(), conf)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pool.Close)
	s := &schoolhouse{World: fixture.Clinic(t, db)}
	s.now = s.Now
	clock := func() time.Time { return s.now }
	s.app = app.New(postgres.FromPool(pool, clock), slog.New(slog.DiscardHandler), clock)
	id, v := s.draft(t)
	v = s.save(t, s.Lead, id, v.Draft.Rev, nil, &app.DraftEdit{Do: func(d *program.Document) (string, string) {
		for n := range 59 {
			_, step := d.Step(d.AddStep(d.Strands[0].Key))
			step.Label, step.Name, step.Criterion = fmt.Sprint("S", n), "Part of it", "80% independent in 3 sessions in a row, across 2 days"
		}
		return "", "add:"
	}}).View
	if n := len(v.Draft.Document.Strands[0].Steps); n != 60 {
		t.Fatalf("%d steps", n)
	}
	c.take()
	if v, err = s.app.Draft(t.Context(), s.Lead, id); err != nil {
		t.Fatal(err)
	}
	if list := c.take(); len(list) > 10 { // begin, scope, draft, commit
		t.Errorf("opening takes %d statements:\n%s", len(list), strings.Join(list, "\n"))
	}
	for i, text := range []string{"a", "a cup"} {
		v = s.save(t, s.Lead, id, v.Draft.Rev, map[string]string{program.StepField(firstStep(v.Draft.Document), "name"): text}, nil).View
		// Begin and scope; the form's token, locked and looked up; the draft,
		// locked and read; stored; read again; the token stored; commit. The
		// first of a series of typing also gets an audit entry.
		if list := c.take(); len(list) > 11-i {
			t.Errorf("saving one field takes %d statements:\n%s", len(list), strings.Join(list, "\n"))
		}
	}
}
