package demo

import (
	"errors"
	"io"
	"log/slog"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

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
	got := readings(t, db)
	want := map[string]string{
		// As the series read by the rules of evaluation, after the last session.
		"Kavi B5": "stalled flat", "Kavi U2": "under_way", "Wren L3": "stalled uneven slower",
		"Rami K3": "met", "Dayo D5": "stalled flat",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("readings (-want +got):\n%s", d)
	}
	found, err := a.Verify(ctx)
	if err != nil || len(found.Differences) > 0 || found.Readings == 0 {
		t.Errorf("verify: %+v, %v", found, err)
	}
	if _, err := Seed(ctx, a, clock, time.Now()); !errors.Is(err, ErrNotEmpty) {
		t.Errorf("a second clinic: %v, want refused", err)
	}
}

// readings gives status and flags of each open placement, by learner and step.
func readings(t *testing.T, db *pgtest.DB) map[string]string {
	t.Helper()
	rows, err := db.Bypass.Query(t.Context(), `
		select l.nickname || ' ' || s.label, r.status || coalesce((
			select ' ' || string_agg(f->>'kind', ' ') from jsonb_array_elements(r.body->'flags') f), '')
		from reading r join placement p on p.id = r.placement_id join step s on s.version_id = p.version_id and s.key = p.step_key
		join assignment a on a.id = p.assignment_id join learner l on l.id = a.learner_id where p.ended_at is null`)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for rows.Next() {
		var step, reading string
		if err := rows.Scan(&step, &reading); err != nil {
			t.Fatal(err)
		}
		got[step] = reading
	}
	return got
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
