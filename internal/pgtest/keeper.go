//go:build unix

package pgtest

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/embeddedpg"
)

const (
	// keeperVar makes any test program that links this package a keeper.
	keeperVar = "NEWEL_PGTEST_KEEPER"
	// idle is how long the server waits for another test process: long enough
	// for a compile between two packages, short enough to clean up soon.
	idle = 40 * time.Second
	// idleKept replaces idle when a database is kept for inspection.
	idleKept = 30 * time.Minute
)

// The first test program to need a server runs itself again as the keeper. Only
// init is reached in the test programs of all packages.
func init() {
	spec := os.Getenv(keeperVar)
	if spec == "" {
		return
	}
	if err := os.Unsetenv(keeperVar); err != nil {
		os.Exit(1)
	}
	var p place
	err := json.Unmarshal([]byte(spec), &p)
	if err == nil {
		err = keep(p)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "pgtest keeper:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

// report is the keeper's message to test processes.
type report struct {
	Super, Owner, App, Backup, Bypass string // connection strings to the maintenance database
	Error                             string // why there is no server
}

// keep runs the server until no one has used it for a while.
func keep(p place) error {
	alive, taken, err := flock(p.file("alive"), syscall.LOCK_EX|syscall.LOCK_NB)
	if err != nil {
		return err
	}
	if !taken {
		return errors.New("another keeper is alive")
	}
	defer alive.Close()
	ctx := context.Background()
	s, err := serve(ctx, p)
	if err != nil {
		return errors.Join(err, p.tell(report{Error: err.Error()}))
	}
	gate, err := awaitIdle(p, s)
	if err != nil {
		return errors.Join(err, s.Stop())
	}
	// Processes that join now wait at the gate and find no server.
	defer gate.Close()
	return errors.Join(os.Remove(p.file("server")), s.Stop(), os.RemoveAll(p.Data))
}

// serve starts a new server. A server left by a killed keeper may still be
// stopping, so the new one has its own folder, and the old folder is removed
// once it cannot be mistaken for the new one.
func serve(ctx context.Context, p place) (*embeddedpg.Server, error) {
	if err := ownDir(p.Data); err != nil {
		return nil, err
	}
	old, err := filepath.Glob(filepath.Join(p.Data, "*"))
	if err != nil {
		return nil, fmt.Errorf("look for old test servers: %w", err)
	}
	s, err := embeddedpg.Start(ctx, embeddedpg.Config{
		Dir: filepath.Join(p.Data, strings.ToLower(rand.Text()[:8])), BinDir: p.BinDir,
		Log: slog.New(slog.NewTextHandler(os.Stderr, nil)),
		Extra: map[string]string{
			"fsync": "off", "full_page_writes": "off", "synchronous_commit": "off",
			"max_connections": "200", "timezone": "Asia/Kathmandu",
			// These settings save processor time and change no results: a
			// test's sessions are short, so they plan each statement only once.
			"jit": "off", "plan_cache_mode": "force_generic_plan", "shared_buffers": "48MB", "wal_level": "minimal", "max_wal_senders": "0",
			// A worker inside a template would make cloning it fail.
			"autovacuum": "off",
		},
	})
	if err != nil {
		return nil, err
	}
	for _, dir := range old {
		if err := os.RemoveAll(dir); err != nil {
			fmt.Fprintln(os.Stderr, "pgtest keeper: remove an old test server:", err)
		}
	}
	r := report{
		Super: s.URL(embeddedpg.RoleSuper, "postgres"), Owner: s.URL(embeddedpg.RoleOwner, "postgres"),
		App: s.URL(embeddedpg.RoleApp, "postgres"), Backup: s.URL(embeddedpg.RoleBackup, "postgres"),
		Bypass: s.URL(RoleBypass, "postgres"),
	}
	if err := addBypass(ctx, r.Super); err != nil {
		return nil, errors.Join(err, s.Stop())
	}
	if err := p.tell(r); err != nil {
		return nil, errors.Join(err, s.Stop())
	}
	return s, nil
}

// RoleBypass has the owner's rights and bypasses the policies. Tests use it to
// inspect and set up data.
const RoleBypass = "newel_bypass"

func addBypass(ctx context.Context, super string) error {
	c, err := pgx.Connect(ctx, super)
	if err != nil {
		return fmt.Errorf("connect to the test server: %w", err)
	}
	defer c.Close(ctx)
	_, err = c.Exec(ctx, `CREATE ROLE newel_bypass LOGIN BYPASSRLS; GRANT newel_owner, pg_read_all_data, pg_write_all_data TO newel_bypass`)
	if err != nil {
		return fmt.Errorf("make the role %s: %w", RoleBypass, err)
	}
	return nil
}

// awaitIdle returns, holding the gate, when no one has held the lease for long
// enough. It returns an error if the server ended by itself.
func awaitIdle(p place, s *embeddedpg.Server) (gate *os.File, err error) {
	tick := time.NewTicker(500 * time.Millisecond)
	defer tick.Stop()
	for last := time.Now(); ; {
		select {
		case <-s.Done():
			return nil, s.Err()
		case <-tick.C:
		}
		gate, taken, err := flock(p.file("gate"), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			return nil, err
		}
		if !taken { // another process is joining
			last = time.Now()
			continue
		}
		lease, free, err := flock(p.file("lease"), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			return nil, errors.Join(err, gate.Close())
		}
		if free {
			_ = lease.Close()
		} else {
			last = time.Now()
		}
		if time.Since(last) > p.patience() {
			return gate, nil
		}
		_ = gate.Close()
	}
}

func (p place) patience() time.Duration {
	if _, err := os.Stat(p.file("keep")); err == nil {
		return idleKept
	}
	return p.Idle
}

// tell replaces the report atomically.
func (p place) tell(r report) error {
	b, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	if err := os.WriteFile(p.file("server.new"), b, 0o600); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	if err := os.Rename(p.file("server.new"), p.file("server")); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return nil
}

func (p place) file(name string) string { return filepath.Join(p.Dir, name) }

// flock opens and locks a file. taken is false if how includes LOCK_NB and
// another process holds the lock.
func flock(path string, how int) (f *os.File, taken bool, err error) {
	f, err = os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, false, fmt.Errorf("open a lock of the test server: %w", err)
	}
	for {
		err = syscall.Flock(int(f.Fd()), how)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if err == nil {
		return f, true, nil
	}
	_ = f.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, false, nil
	}
	return nil, false, fmt.Errorf("lock %s: %w", path, err)
}
