package embeddedpg

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestDumpAndRestore dumps tables with forced row-level security as the backup
// role and restores them as the owner.
func TestDumpAndRestore(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	owner := connect(t, s.URL(RoleOwner, Database))
	exec1(t, owner, `
		CREATE SCHEMA work;
		CREATE TABLE work.thing (clinic int, name text);
		INSERT INTO work.thing VALUES (1, 'a'), (2, 'b');
		ALTER TABLE work.thing ENABLE ROW LEVEL SECURITY;
		ALTER TABLE work.thing FORCE ROW LEVEL SECURITY;
		CREATE POLICY own ON work.thing USING (clinic = nullif(current_setting('newel.clinic', true), '')::int);
		GRANT USAGE ON SCHEMA work TO newel_app;
		GRANT SELECT ON work.thing TO newel_app`)
	file := filepath.Join(dir, "dumps", DumpName(time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)))
	if err := Dump(t.Context(), s.BinDir(), s.URL(RoleBackup, Database), file); err != nil {
		t.Fatal(err)
	}
	st, err := os.Stat(file)
	if err != nil || st.Mode().Perm() != 0o600 || st.Size() == 0 {
		t.Fatalf("%v, %v", st, err)
	}
	if left, err := filepath.Glob(file + ".*"); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}

	super := connect(t, s.URL(RoleSuper, "postgres"))
	exec1(t, super, `CREATE DATABASE second OWNER newel_owner TEMPLATE template0`)
	if err := Restore(t.Context(), s.BinDir(), s.URL(RoleOwner, "second"), file); err != nil {
		t.Fatal(err)
	}
	var n int
	if err := connect(t, s.URL(RoleBackup, "second")).QueryRow(t.Context(), `SELECT count(*) FROM work.thing`).Scan(&n); err != nil || n != 2 {
		t.Errorf("%d rows were restored: %v", n, err)
	}
	app := connect(t, s.URL(RoleApp, "second"))
	exec1(t, app, `SET newel.clinic = '2'`)
	var name string
	if err := app.QueryRow(t.Context(), `SELECT string_agg(name, ',') FROM work.thing`).Scan(&name); err != nil || name != "b" {
		t.Errorf("the policies were not restored: %q, %v", name, err)
	}

	if err := Restore(t.Context(), s.BinDir(), s.URL(RoleOwner, "second"), file); err == nil {
		t.Error("restored over existing tables")
	}
}

func TestFailedDumpLeavesNoFile(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	exec1(t, connect(t, s.URL(RoleOwner, Database)), `CREATE TABLE thing (n int)`)
	file := filepath.Join(dir, "dumps", DumpName(time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)))
	err := Dump(t.Context(), s.BinDir(), s.URL(RoleApp, Database), file)
	if err == nil || !strings.Contains(err.Error(), "permission denied") {
		t.Errorf("got %v", err)
	}
	if entries, err := os.ReadDir(filepath.Dir(file)); err != nil || len(entries) != 0 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

func TestChooseTool(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	old := filepath.Join(fakePrograms(t, filepath.Join(base, "old"), 15, "pg_dump"), "pg_dump")
	fresh := filepath.Join(fakePrograms(t, filepath.Join(base, "new"), 18, "pg_dump"), "pg_dump")
	none := filepath.Join(base, "none", "pg_dump")
	if got, err := chooseTool("pg_dump", []string{none, old, fresh}, 17); err != nil || got != fresh {
		t.Errorf("got %s, %v", got, err)
	}
	_, err := chooseTool("pg_dump", []string{none, old}, 17)
	if !errors.Is(err, ErrNoDumpTool) || !strings.Contains(err.Error(), "from PostgreSQL 15 but the server is 17") {
		t.Errorf("too old: %v", err)
	}
	_, err = chooseTool("pg_dump", []string{none}, 17)
	if !errors.Is(err, ErrNoDumpTool) || !strings.Contains(err.Error(), "postgresql-client") {
		t.Errorf("missing: %v", err)
	}
}

func TestPrune(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	names := []string{
		"newel-20260101T000000Z.dump", "newel-20260102T000000Z.dump", "newel-20260103T000000Z.dump",
		"newel-20260104T000000Z.dump.partial", "newel-mine.dump", "notes.txt",
	}
	for _, n := range names {
		if err := os.WriteFile(filepath.Join(dir, n), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := Prune(dir, 0); err == nil {
		t.Error("all dumps would be deleted")
	}
	if err := Prune(dir, 2); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	want := []string{names[1], names[2], "newel-mine.dump", "notes.txt"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if err := Prune(filepath.Join(dir, "missing"), 1); err != nil {
		t.Errorf("a missing folder: %v", err)
	}
}

func TestSplitPassword(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ conn, rest, password string }{
		{"postgres://newel_backup:s%40fe@db:5432/newel?sslmode=require", "postgres://newel_backup@db:5432/newel?sslmode=require", "s@fe"},
		{"postgres://db/newel?password=safe&user=newel_backup", "postgres://db/newel?user=newel_backup", "safe"},
		{"postgres://newel_backup@/newel?host=%2Frun", "postgres://newel_backup@/newel?host=%2Frun", ""},
		{`host=db password='s\'fe word' user=u`, "host=db  user=u", "s'fe word"},
		{"password=safe host=db", " host=db", "safe"},
		{"host=db user=u", "host=db user=u", ""},
	} {
		rest, password := splitPassword(tc.conn)
		if rest != tc.rest || password != tc.password {
			t.Errorf("%s: %q, %q", tc.conn, rest, password)
		}
	}
}

// TestDeployedRoles checks that the script for external servers matches what
// the built-in database does.
func TestDeployedRoles(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile(filepath.Join("..", "..", "deploy", "roles.sql"))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{rolesSQL, databaseSQL} {
		if !strings.Contains(string(b), part) {
			t.Errorf("deploy/roles.sql lacks:\n%s", part)
		}
	}
}
