package app_test

import (
	"context"
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
	"newel/internal/reading"
)

// The caseload is opened many times a day. It takes a few statements for any
// number of rows, and none of them loads the state of a recording.
func TestCaseloadTakesFewStatements(t *testing.T) {
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
	for _, d := range []program.Document{fixture.WashingHands(), fixture.WhichCup()} {
		for _, placement := range s.assigned(t, d) {
			s.teach(t, placement, "aaaan", "n1nna")
		}
	}
	c.take()
	got, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil || got.Asking()+len(got.Quiet) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	list := c.take()
	if len(list) > 8 { // begin, scope, rows, clinic, steps, sessions, commit
		t.Errorf("%d statements:\n%s", len(list), strings.Join(list, "\n"))
	}
}
