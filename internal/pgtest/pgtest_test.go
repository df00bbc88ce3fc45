//go:build unix

package pgtest

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/embeddedpg"
	"newel/migrations"
)

// joinVar makes the test program join the server at the place that it names,
// report that, and wait to be killed.
const joinVar = "NEWEL_PGTEST_JOIN"

func TestMain(m *testing.M) {
	if spec := os.Getenv(joinVar); spec != "" {
		var p place
		if err := json.Unmarshal([]byte(spec), &p); err != nil {
			panic(err)
		}
		s, err := join(p)
		if err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Println(s.report.Super)
		_, _ = bufio.NewReader(os.Stdin).ReadString('\n')
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func twoClinics(ctx context.Context, ownerURL string) error {
	return run(ctx, ownerURL, `
		CREATE TABLE thing (clinic int, name text);
		INSERT INTO thing VALUES (1, 'a'), (2, 'b');
		ALTER TABLE thing ENABLE ROW LEVEL SECURITY;
		ALTER TABLE thing FORCE ROW LEVEL SECURITY;
		CREATE POLICY own ON thing USING (clinic = nullif(current_setting('newel.clinic', true), '')::int);
		GRANT SELECT, INSERT ON thing TO newel_app`)
}

// run runs statements in a session of their own.
func run(ctx context.Context, url, sql string) error {
	c, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	_, err = c.Exec(ctx, sql)
	return errors.Join(err, c.Close(ctx))
}

func count(t *testing.T, q interface {
	QueryRow(context.Context, string, ...any) pgx.Row
}, sql string,
) (n int) {
	t.Helper()
	if err := q.QueryRow(t.Context(), sql).Scan(&n); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return n
}

func TestEachTestHasItsOwnDatabase(t *testing.T) {
	t.Parallel()
	tpl := Template{Key: "two clinics", Migrate: twoClinics}
	one, two := NewWith(t, tpl), NewWith(t, tpl)
	if _, err := one.Bypass.Exec(t.Context(), `DELETE FROM thing`); err != nil {
		t.Fatal(err)
	}
	if n := count(t, one.Bypass, `SELECT count(*) FROM thing`); n != 0 {
		t.Errorf("%d rows left", n)
	}
	if n := count(t, two.Bypass, `SELECT count(*) FROM thing`); n != 2 {
		t.Errorf("the other test's database has %d rows", n)
	}
}

func TestPoliciesBindAllButBypass(t *testing.T) {
	t.Parallel()
	db := NewWith(t, Template{Key: "two clinics", Migrate: twoClinics})
	for _, tc := range []struct {
		name          string
		pool          *pgxpool.Pool
		none, two, of int // rows seen without a scope and in clinic 2; tables owned
	}{
		{"app", db.App, 0, 1, 0},
		{"owner", db.Owner, 0, 1, 1},
		{"bypass", db.Bypass, 2, 2, 0},
	} {
		tx, err := tc.pool.Begin(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		none := count(t, tx, `SELECT count(*) FROM thing`)
		if _, err := tx.Exec(t.Context(), `SET LOCAL newel.clinic = '2'`); err != nil {
			t.Fatal(err)
		}
		two := count(t, tx, `SELECT count(*) FROM thing`)
		of := count(t, tx, `SELECT count(*) FROM pg_tables WHERE tablename = 'thing' AND tableowner = current_user`)
		if none != tc.none || two != tc.two || of != tc.of {
			t.Errorf("%s sees %d rows without a scope, %d in clinic 2, and owns %d tables", tc.name, none, two, of)
		}
		if err := tx.Rollback(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := db.App.Exec(t.Context(), `CREATE TABLE mine (n int)`); err == nil {
		t.Error("the app may create tables")
	}
	if _, err := db.Bypass.Exec(t.Context(), `TRUNCATE thing; ALTER TABLE thing ADD COLUMN n int`); err != nil {
		t.Error(err)
	}
}

func TestSessionsUseAnUnusualTimeZone(t *testing.T) {
	t.Parallel()
	db := NewWith(t, Template{Key: "two clinics", Migrate: twoClinics})
	var zone string
	if err := db.App.QueryRow(t.Context(), `SHOW TimeZone`).Scan(&zone); err != nil || zone != "Asia/Kathmandu" {
		t.Errorf("%s, %v", zone, err)
	}
}

func TestDatabasesCarryTheSchema(t *testing.T) {
	t.Parallel()
	db := New(t)
	if n := count(t, db.Owner, `SELECT max(version_id) FROM goose_db_version`); int64(n) != migrations.Latest() {
		t.Errorf("at migration %d, want %d", n, migrations.Latest())
	}
}

func TestDumpsWork(t *testing.T) {
	t.Parallel()
	db := NewWith(t, Template{Key: "two clinics", Migrate: twoClinics})
	file := filepath.Join(t.TempDir(), embeddedpg.DumpName(time.Unix(0, 0)))
	if err := embeddedpg.Dump(t.Context(), "", db.BackupURL, file); err != nil {
		t.Error(err)
	}
}

func TestTemplateIsMadeOnce(t *testing.T) {
	t.Parallel()
	var times atomic.Int32
	tpl := Template{Key: t.Name() + time.Now().String(), Migrate: func(ctx context.Context, url string) error {
		times.Add(1)
		return twoClinics(ctx, url)
	}}
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() { NewWith(t, tpl) })
	}
	wg.Wait()
	if n := times.Load(); n != 1 {
		t.Errorf("migrated %d times", n)
	}
}

func TestFailedTemplateIsCreatedAgain(t *testing.T) {
	t.Parallel()
	s, err := shared()
	if err != nil {
		t.Fatal(err)
	}
	broken := errors.New("interrupted")
	tpl := Template{Key: t.Name() + time.Now().String(), Migrate: func(ctx context.Context, url string) error {
		return errors.Join(twoClinics(ctx, url), broken)
	}}
	if _, err := s.template(t.Context(), tpl); !errors.Is(err, broken) {
		t.Fatalf("got %v", err)
	}
	tpl.Migrate = twoClinics
	if n := count(t, NewWith(t, tpl).Bypass, `SELECT count(*) FROM thing`); n != 2 {
		t.Errorf("%d rows", n)
	}
}

// ownPlace returns a place for a server of its own, which no other test shares.
func ownPlace(t *testing.T, idle time.Duration) place {
	t.Helper()
	dir, err := os.MkdirTemp(InMemory(), "newel-pgtest-own-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	p := place{Dir: filepath.Join(dir, "dir"), Data: filepath.Join(dir, "data"), BinDir: os.Getenv("NEWEL_PG_BINDIR"), Idle: idle}
	if err := ownDir(p.Dir); err != nil {
		t.Fatal(err)
	}
	// Whatever the test does, its keeper must end before its folder is removed.
	t.Cleanup(func() { awaitEnd(t, p) })
	return p
}

// awaitEnd waits until the place has no keeper.
func awaitEnd(t *testing.T, p place) {
	t.Helper()
	await(t, "the keeper to end", func() bool {
		f, free, err := flock(p.file("alive"), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			t.Fatal(err)
		}
		if free {
			_ = f.Close()
		}
		return free
	})
}

func await(t *testing.T, what string, cond func() bool) {
	t.Helper()
	for deadline := time.Now().Add(2 * time.Minute); !cond(); {
		if time.Now().After(deadline) {
			t.Fatalf("timed out waiting for %s", what)
		}
		time.Sleep(10 * time.Millisecond)
	}
}

type joiner struct {
	cmd *exec.Cmd
	url string
}

// spawn joins the place from another process.
func spawn(t *testing.T, p place) joiner {
	t.Helper()
	spec, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), joinVar+"="+string(spec))
	if _, err := c.StdinPipe(); err != nil { // kept open until the process is killed
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || strings.HasPrefix(line, "error") {
		t.Fatalf("%q, %v", line, err)
	}
	return joiner{cmd: c, url: strings.TrimSpace(line)}
}

func (j joiner) kill() {
	_ = j.cmd.Process.Kill()
	_ = j.cmd.Wait()
}

func TestProcessesShareAServerAndLeaveNothing(t *testing.T) {
	t.Parallel()
	p := ownPlace(t, time.Second)
	var joiners [3]joiner
	var wg sync.WaitGroup
	for i := range joiners {
		wg.Go(func() { joiners[i] = spawn(t, p) })
	}
	wg.Wait()
	if t.Failed() {
		return
	}
	for _, j := range joiners[1:] {
		if j.url != joiners[0].url {
			t.Errorf("two servers: %s and %s", j.url, joiners[0].url)
		}
	}
	// Kill the process that started the server; the server stays for the
	// others.
	joiners[0].kill()
	joiners[1].kill()
	c, err := pgx.Connect(t.Context(), joiners[2].url)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
	joiners[2].kill()
	awaitEnd(t, p)
	if _, err := os.Stat(p.Data); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("its files still exist: %v", err)
	}
	if _, err := os.Stat(p.file("server")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("its report still exists: %v", err)
	}
}

func TestKilledKeeperIsReplaced(t *testing.T) {
	t.Parallel()
	p := ownPlace(t, time.Second)
	first := spawn(t, p)
	// The joiner's only child is the keeper.
	b, err := exec.Command("ps", "-A", "-o", "pid=,ppid=").Output()
	if err != nil {
		t.Fatal(err)
	}
	keeper := 0
	for line := range strings.Lines(string(b)) {
		var pid, parent int
		if _, err := fmt.Sscan(line, &pid, &parent); err == nil && parent == first.cmd.Process.Pid {
			keeper = pid
		}
	}
	if keeper == 0 {
		t.Fatal("no keeper was found")
	}
	if err := syscall.Kill(keeper, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	awaitEnd(t, p)
	second := spawn(t, p)
	if second.url == first.url {
		t.Error("join returned the dead server's address")
	}
	if c, err := pgx.Connect(t.Context(), second.url); err != nil {
		t.Error(err)
	} else if err := c.Close(t.Context()); err != nil {
		t.Error(err)
	}
	first.kill()
	second.kill()
}

func TestFailedServerStartSaysWhy(t *testing.T) {
	t.Parallel()
	p := ownPlace(t, time.Second)
	p.BinDir = t.TempDir()
	if _, err := join(p); err == nil || !strings.Contains(err.Error(), "no program postgres") {
		t.Errorf("got %v", err)
	}
}
