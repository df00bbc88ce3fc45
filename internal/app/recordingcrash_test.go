//go:build unix

package app_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/embeddedpg"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/recording"
	"newel/migrations"
)

// TestDatabaseKilled kills the database between two requests and restarts it.
// While it is down, the answer is "try again". Everything that had a receipt
// exists afterwards, and sending again completes what was in progress.
func TestDatabaseKilled(t *testing.T) {
	t.Parallel()
	dir := dataDir(t)
	server := startDatabase(t, dir)
	if err := migrations.Up(t.Context(), server.URL(embeddedpg.RoleOwner, embeddedpg.Database)); err != nil {
		t.Fatal(err)
	}
	appPool, super := poolAt(t, server, embeddedpg.RoleApp), poolAt(t, server, embeddedpg.RoleSuper)
	b := benchOn(t, &pgtest.DB{App: appPool, Bypass: super}, appPool)

	stored := b.mustPut(t, b.Home.Caregiver, b.session("aaaaa", -2).Document())
	kill(t, dir, super)
	<-server.Done()
	waiting := b.session("aaaa1", -1).Document()
	for range 3 {
		if _, err := b.put(t, b.Home.Caregiver, waiting); !errors.Is(err, newel.ErrBusy) {
			t.Fatalf("while the database is away: %v", err)
		}
	}
	_ = server.Stop() // returns an error because it was killed
	startDatabase(t, dir)
	super.Reset() // the test's own connection broke, too
	b.mustPut(t, b.Home.Caregiver, waiting)
	if n := b.count(t, "recording"); n != 2 {
		t.Errorf("%d recordings", n)
	}
	if !one[bool](t, b, `select count(*) = 2 from delivery`, nil) || len(b.reading(t, b.Home).Body.Sessions) != 2 {
		t.Error("something with a receipt is gone")
	}
	var kept recording.Receipt
	rows := b.DB.Bypass.QueryRow(t.Context(), `select receipt from delivery where recording_id = $1`, stored.Receipt.ID)
	if err := rows.Scan(&kept); err != nil || kept != stored.Receipt {
		t.Errorf("kept receipt %+v, %v", kept, err)
	}
}

// dataDir returns a folder that the database's account can reach; t.TempDir is
// closed to other accounts.
func dataDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "newel-crash-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	return dir
}

func startDatabase(t *testing.T, dir string) *embeddedpg.Server {
	t.Helper()
	s, err := embeddedpg.Start(t.Context(), embeddedpg.Config{Dir: dir, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Stop() })
	return s
}

func poolAt(t *testing.T, s *embeddedpg.Server, role string) *pgxpool.Pool {
	t.Helper()
	pool, err := pgxpool.New(context.Background(), s.URL(role, embeddedpg.Database))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pool.Close)
	return pool
}

// kill ends the database as a power failure would: its main process and those
// that serve connections, which would otherwise still answer for a moment.
func kill(t *testing.T, dir string, super *pgxpool.Pool) {
	t.Helper()
	var serving []int
	if err := super.QueryRow(t.Context(), `select array_agg(pid) from pg_stat_activity where backend_type = 'client backend'`).Scan(&serving); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(filepath.Join(dir, "postgres", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(raw), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	for _, pid := range append([]int{pid}, serving...) {
		if err := syscall.Kill(pid, syscall.SIGKILL); err != nil && !errors.Is(err, syscall.ESRCH) {
			t.Fatal(err)
		}
	}
}
