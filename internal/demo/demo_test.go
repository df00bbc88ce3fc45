package demo

import (
	"errors"
	"io"
	"log/slog"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
)

// TestSeed: the invented clinic is made through app, ends today, and shows a
// met step, a stalled one and some that need nothing.
func TestSeed(t *testing.T) {
	t.Parallel()
	ctx, db, clock := t.Context(), pgtest.New(t), &Clock{}
	a := app.New(postgres.FromPool(db.App, clock.Now), slog.New(slog.NewTextHandler(io.Discard, nil)), clock.Now)
	access, err := Seed(ctx, a, clock, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"supervisor", "tomas", "trainee", "office", "caregiver", "lubna", "sami"} {
		if access.Accounts[part].IsZero() {
			t.Errorf("nobody can be signed in as %s", part)
		}
	}
	statuses := map[string]int{}
	rows, err := db.Bypass.Query(ctx, `select r.status from reading r join placement p on p.id = r.placement_id where p.ended_at is null`)
	if err != nil {
		t.Fatal(err)
	}
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			t.Fatal(err)
		}
		statuses[s]++
	}
	if statuses["met"] != 1 || statuses["stalled"] != 1 || statuses["gathering"]+statuses["under_way"] != 2 {
		t.Errorf("statuses %v, want one met, one stalled, two others", statuses)
	}
	found, err := a.Verify(ctx)
	if err != nil || len(found.Differences) > 0 || found.Readings == 0 {
		t.Errorf("verify: %+v, %v", found, err)
	}
	if _, err := Seed(ctx, a, clock, time.Now()); !errors.Is(err, ErrNotEmpty) {
		t.Errorf("a second clinic: %v, want refused", err)
	}
}

func TestProgramsCanBePublished(t *testing.T) {
	t.Parallel()
	if len(files()) == 0 {
		t.Fatal("no programs")
	}
	for _, file := range files() {
		d, err := document(file)
		if err != nil {
			t.Error(err)
			continue
		}
		var invalid *newel.Invalid
		if err := d.Publishable(); errors.As(err, &invalid) {
			t.Errorf("%s: %v", file, err)
		}
	}
}
