//go:build unix

package pgtest

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"
)

// successive lets two tests have a database of a new template, one after the
// other, and reports whether the second one had the first one's.
func successive(t *testing.T, first, second func(t *testing.T, db *DB)) (reused bool) {
	t.Helper()
	tpl := Template{Key: t.Name(), Migrate: func(ctx context.Context, url string) error {
		if err := twoClinics(ctx, url); err != nil {
			return err
		}
		return run(ctx, url, `CREATE TABLE part (id int PRIMARY KEY, of int REFERENCES part, name text)`)
	}}
	var names [2]string
	for i, do := range []func(*testing.T, *DB){first, second} {
		t.Run(fmt.Sprint(i+1), func(t *testing.T) {
			db := NewWith(t, tpl)
			names[i] = db.Name
			do(t, db)
		})
	}
	return names[0] == names[1]
}

func exec1(t *testing.T, p *pgxpool.Pool, sql string) {
	t.Helper()
	if _, err := p.Exec(t.Context(), sql); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func TestReusedDatabaseIsAsNew(t *testing.T) {
	t.Parallel()
	var late *pgxpool.Pool
	reused := successive(t, func(t *testing.T, db *DB) {
		late = db.App
		exec1(t, db.Bypass, `INSERT INTO part VALUES (1, null, 'a'), (2, 1, 'b')`)
		exec1(t, db.Bypass, `UPDATE thing SET name = 'changed' WHERE clinic = 1`)
		exec1(t, db.Bypass, `DELETE FROM thing WHERE clinic = 2`)
		exec1(t, db.App, `SET newel.clinic = '1'`)
		exec1(t, db.Owner, `SELECT pg_advisory_lock(1)`)
		db.App = nil // the caller's own copy
	}, func(t *testing.T, db *DB) {
		if n := count(t, db.Bypass, `SELECT count(*) FROM part`); n != 0 {
			t.Errorf("%d rows are left of the test before", n)
		}
		if n := count(t, db.Bypass, `SELECT count(*) FROM thing WHERE (clinic, name) IN ((1, 'a'), (2, 'b'))`); n != 2 {
			t.Errorf("%d rows are as in the template, want 2", n)
		}
		if n := count(t, db.App, `SELECT count(*) FROM thing`); n != 0 {
			t.Errorf("a session kept the scope of the test before and sees %d rows", n)
		}
		if n := count(t, db.Bypass, `SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`); n != 0 {
			t.Errorf("%d locks are left of the test before", n)
		}
	})
	if !reused {
		t.Error("the second test had another database")
	}
	if _, err := late.Exec(t.Context(), `SELECT 1`); !errors.Is(err, errEnded) {
		t.Errorf("a pool lends connections after its test: %v", err)
	}
}

func TestChangedDatabaseIsNotReused(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]string{
		"column":     `ALTER TABLE thing ADD COLUMN n int`,
		"right":      `GRANT DELETE ON thing TO newel_app`,
		"policy":     `ALTER POLICY own ON thing USING (true)`,
		"security":   `ALTER TABLE part ENABLE ROW LEVEL SECURITY`,
		"table":      `CREATE TABLE other (n int)`,
		"function":   `CREATE FUNCTION one() RETURNS int LANGUAGE sql AS 'SELECT 1'`,
		"statistics": `INSERT INTO part SELECT g FROM generate_series(1, 100) g; ANALYZE part`,
		"setting":    `DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET work_mem = ''8MB''', current_database()); END $$`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			reused := successive(t, func(t *testing.T, db *DB) { exec1(t, db.Owner, change) }, func(t *testing.T, db *DB) {})
			if reused {
				t.Errorf("the database was reused after: %s", change)
			}
		})
	}
}

func TestDatabasesOfEndedProcessesAreDropped(t *testing.T) {
	t.Parallel()
	s, err := shared()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command("true")
	if err := c.Run(); err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("t_%d_left", c.Process.Pid)
	if _, err := s.admin.Exec(t.Context(), `CREATE DATABASE `+name+` TEMPLATE template0`); err != nil {
		t.Fatal(err)
	}
	mine := NewWith(t, Template{Key: "two clinics", Migrate: twoClinics})
	if err := s.sweep(t.Context()); err != nil {
		t.Fatal(err)
	}
	var left []string
	if err := s.admin.QueryRow(t.Context(), `SELECT array_agg(datname::text) FROM pg_database WHERE datname IN ($1, $2)`, name, mine.Name).Scan(&left); err != nil {
		t.Fatal(err)
	}
	if len(left) != 1 || left[0] != mine.Name {
		t.Errorf("left are %q, want only %s", left, mine.Name)
	}
}
