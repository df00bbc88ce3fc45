//go:build unix

package pgtest

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"net/url"
	"os"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/embeddedpg"
	"newel/migrations"
)

// DB is one test's own database. The pools connect on first use. When the test
// ends, the database is taken away: no pool lends a connection any more.
type DB struct {
	App    *pgxpool.Pool // newel_app: owns nothing, bound by the policies; for the code under test
	Owner  *pgxpool.Pool // newel_owner: owns the tables; bound by policies under FORCE
	Bypass *pgxpool.Pool // newel_bypass: the owner's rights without the policies, for setup and inspection

	Name      string // of the database
	URL       string // as newel_app
	OwnerURL  string // as newel_owner
	BackupURL string // as newel_backup, for dumps
	bypassURL string
}

// Template is a database that tests clone.
type Template struct {
	Key     string                                           // changes whenever Migrate's result changes
	Migrate func(ctx context.Context, ownerURL string) error // fills an empty database
}

// New returns a database with Newel's schema. If NEWEL_KEEPDB=1 is set, a
// failed test keeps its database and logs how to connect to it.
func New(t testing.TB) *DB {
	t.Helper()
	return NewWith(t, Template{Key: schemaHash(), Migrate: migrations.Up})
}

// schemaHash changes whenever a migration changes.
func schemaHash() string {
	h := sha256.New()
	names, _ := fs.Glob(migrations.FS, "*.sql") // sorted
	for _, name := range names {
		b, _ := migrations.FS.ReadFile(name)
		fmt.Fprintf(h, "%s %d\n", name, len(b))
		h.Write(b)
	}
	return hex.EncodeToString(h.Sum(nil))[:16]
}

// NewWith returns a database cloned from another template.
func NewWith(t testing.TB, tpl Template) *DB {
	t.Helper()
	s, err := shared()
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	return s.newDB(t, tpl)
}

func (s *server) newDB(t testing.TB, tpl Template) *DB {
	t.Helper()
	ctx := t.Context()
	from, err := s.template(ctx, tpl)
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	u := s.spare(from)
	if u == nil {
		if u, err = s.newSlot(ctx, from); err != nil {
			t.Fatalf("pgtest: %v", err)
		}
	}
	t.Cleanup(func() { s.end(t, u) })
	db := u.db
	return &db
}

// newSlot clones the template.
func (s *server) newSlot(ctx context.Context, from string) (*slot, error) {
	name := fmt.Sprintf("t_%d_%s", os.Getpid(), strings.ToLower(rand.Text()[:16]))
	if err := s.clone(ctx, name, from); err != nil {
		return nil, err
	}
	u := &slot{from: from, db: DB{
		Name: name, URL: onDB(s.report.App, name), OwnerURL: onDB(s.report.Owner, name), BackupURL: onDB(s.report.Backup, name),
		bypassURL: onDB(s.report.Bypass, name),
	}}
	if err := u.prepare(ctx, s.report.Super); err != nil {
		return nil, fmt.Errorf("look at %s: %w", name, err)
	}
	return u, u.openPools()
}

// clone copies the template's files, which is faster here than replaying its
// log.
func (s *server) clone(ctx context.Context, name, from string) error {
	_, err := s.admin.Exec(ctx, fmt.Sprintf(`CREATE DATABASE %s TEMPLATE %s OWNER newel_owner STRATEGY file_copy`, name, from))
	if err != nil {
		return fmt.Errorf("clone %s: %w", from, err)
	}
	// Cloning does not copy the rights on the database itself.
	_, err = s.admin.Exec(ctx, fmt.Sprintf(`REVOKE ALL ON DATABASE %[1]s FROM PUBLIC; GRANT CONNECT ON DATABASE %[1]s TO newel_app, newel_backup`, name))
	if err != nil {
		return fmt.Errorf("set the rights on %s: %w", name, err)
	}
	return nil
}

// end cleans the database for another test, or drops it, or keeps it for
// inspection on request.
func (s *server) end(t testing.TB, u *slot) {
	u.shut.Store(true)
	idle := u.idle(t)
	ctx, cancel := context.WithTimeout(context.Background(), leakPatience)
	defer cancel()
	if idle && !t.Failed() {
		if same, err := u.clean(ctx); same && err == nil {
			s.keep(u)
			return
		}
	}
	s.discard(t, u)
}

// discard closes the pools, and drops the database unless it is to be kept.
func (s *server) discard(t testing.TB, u *slot) {
	_ = u.janitor.Close(context.Background()) // dropping ends it as well
	for _, p := range u.pools() {
		if p.Stat().AcquiredConns() == 0 { // Close would wait for a leaked connection
			p.Close()
		}
	}
	if t.Failed() && os.Getenv("NEWEL_KEEPDB") == "1" {
		if err := os.WriteFile(s.place.file("keep"), nil, 0o600); err != nil {
			t.Errorf("pgtest: keep the database: %v", err)
		}
		t.Logf("kept for %s after the last test: psql %q", idleKept, u.db.bypassURL)
		return
	}
	s.awaitLeaving(u.db.Name)
	if _, err := s.admin.Exec(context.Background(), fmt.Sprintf(`DROP DATABASE %s WITH (FORCE)`, u.db.Name)); err != nil {
		t.Errorf("pgtest: drop the database: %v", err)
	}
}

// awaitLeaving gives sessions that were just closed a moment to disappear,
// because DROP DATABASE looks once and then sleeps for 100 ms. Correctness does
// not depend on it; the drop is forced.
func (s *server) awaitLeaving(name string) {
	for range 50 {
		var n int
		err := s.admin.QueryRow(context.Background(), `SELECT count(*) FROM pg_stat_activity WHERE datname = $1`, name).Scan(&n)
		if err != nil || n == 0 {
			return
		}
		time.Sleep(time.Millisecond)
	}
}

// sweep drops the databases of test processes that have ended.
func (s *server) sweep(ctx context.Context) error {
	if _, err := os.Stat(s.place.file("keep")); err == nil {
		return nil
	}
	rows, err := s.admin.Query(ctx, `SELECT datname FROM pg_database WHERE datname LIKE 't\_%'`)
	if err != nil {
		return fmt.Errorf("look for old test databases: %w", err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return fmt.Errorf("look for old test databases: %w", err)
	}
	for _, name := range names {
		var pid int
		if _, err := fmt.Sscanf(name, "t_%d_", &pid); err != nil || !errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			continue
		}
		if _, err := s.admin.Exec(ctx, `DROP DATABASE IF EXISTS `+name+` WITH (FORCE)`); err != nil {
			return fmt.Errorf("drop an old test database: %w", err)
		}
	}
	return nil
}

// made remembers the templates known to this process.
var made sync.Map

// template returns the name of the migrated database for tpl and creates it if
// no process has done so yet.
func (s *server) template(ctx context.Context, tpl Template) (string, error) {
	h := fnv.New64a()
	h.Write([]byte(tpl.Key))
	name := fmt.Sprintf("tpl_%016x", h.Sum64())
	key := s.report.Super + name
	if _, ok := made.Load(key); ok {
		return name, nil
	}
	// The session holds the lock, so a killed process releases it.
	c, err := s.admin.Acquire(ctx)
	if err != nil {
		return "", fmt.Errorf("connect to the test server: %w", err)
	}
	conn := c.Hijack() // closing it always releases the lock
	defer conn.Close(context.Background())
	if _, err := conn.Exec(ctx, `SELECT pg_advisory_lock($1)`, int64(h.Sum64())); err != nil {
		return "", fmt.Errorf("wait for the template: %w", err)
	}
	var done bool
	err = conn.QueryRow(ctx, `SELECT datistemplate FROM pg_database WHERE datname = $1`, name).Scan(&done)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return "", fmt.Errorf("look for the template: %w", err)
	}
	if !done {
		if err := s.makeTemplate(ctx, conn, name, tpl); err != nil {
			return "", fmt.Errorf("make the template: %w", err)
		}
	}
	made.Store(key, true)
	return name, nil
}

// makeTemplate migrates a new database and marks it when complete. An
// interrupted one has no mark and is made again.
func (s *server) makeTemplate(ctx context.Context, conn *pgx.Conn, name string, tpl Template) error {
	for _, sql := range []string{
		`DROP DATABASE IF EXISTS ` + name + ` WITH (FORCE)`,
		`CREATE DATABASE ` + name + ` TEMPLATE template0 OWNER newel_owner ENCODING 'UTF8'`,
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return err
		}
	}
	inside, err := pgx.Connect(ctx, onDB(s.report.Super, name))
	if err != nil {
		return err
	}
	err = embeddedpg.PrepareDatabase(ctx, inside)
	if err := errors.Join(err, inside.Close(ctx)); err != nil {
		return err
	}
	if err := tpl.Migrate(ctx, onDB(s.report.Owner, name)); err != nil {
		return err
	}
	// A session left open by the migration would make every clone fail.
	for _, sql := range []string{
		`ALTER DATABASE ` + name + ` ALLOW_CONNECTIONS false`,
		`SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity WHERE datname = '` + name + `'`,
		`ALTER DATABASE ` + name + ` IS_TEMPLATE true`,
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return err
		}
	}
	return nil
}

// onDB points a connection string at another database.
func onDB(connURL, name string) string {
	u, err := url.Parse(connURL)
	if err != nil { // it was made by url.URL.String
		panic(err)
	}
	u.Path = "/" + name
	return u.String()
}
