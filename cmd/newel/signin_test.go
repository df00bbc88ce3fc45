package main

import (
	"io"
	"log/slog"
	"slices"
	"testing"
	"time"

	"github.com/alexedwards/scs/pgxstore"

	"newel/internal/app"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/worker"
)

// TestExpiredSignInsAreCleared runs the worker's task twice, with a sign-in
// that expires between the runs. Each run deletes the expired sign-ins and
// keeps the others usable.
func TestExpiredSignInsAreCleared(t *testing.T) {
	t.Parallel()
	ctx, db := t.Context(), pgtest.New(t)
	now := time.Now()
	store := postgres.FromPool(db.App, func() time.Time { return now })
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	list := (&instance{log: log, db: &database{}}).tasks(store, app.New(store, log, time.Now))
	i := slices.IndexFunc(list, func(task worker.Task) bool { return task.Name == "clear sign-ins" })
	if i < 0 {
		t.Fatal("the worker has no task that clears sign-ins")
	}
	signIns := pgxstore.NewWithCleanupInterval(db.App, 0)
	for token, expiry := range map[string]time.Duration{"long ago": -48 * time.Hour, "just now": -time.Second, "in an hour": time.Hour, "in a day": 24 * time.Hour} {
		if err := signIns.Commit(token, []byte(token), now.Add(expiry)); err != nil {
			t.Fatal(err)
		}
	}
	for _, run := range []struct {
		name  string
		later time.Duration
		want  []string
	}{
		{"at once", 0, []string{"in a day", "in an hour"}},
		{"two hours later", 2 * time.Hour, []string{"in a day"}},
	} {
		now = now.Add(run.later)
		if err := list[i].Do(ctx); err != nil {
			t.Fatal(err)
		}
		if got := tokens(t, db); !slices.Equal(got, run.want) {
			t.Errorf("%s the table holds %q, want %q", run.name, got, run.want)
		}
	}
	if data, found, err := signIns.Find("in a day"); err != nil || !found || string(data) != "in a day" {
		t.Errorf("the sign-in that is live: %q, %t, %v", data, found, err)
	}
}

// tokens lists all sign-ins in the table, including expired ones.
func tokens(t *testing.T, db *pgtest.DB) []string {
	t.Helper()
	var list []string
	err := db.Bypass.QueryRow(t.Context(), `select coalesce(array_agg(token order by token), '{}') from sessions`).Scan(&list)
	if err != nil {
		t.Fatal(err)
	}
	return list
}
