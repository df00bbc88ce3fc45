//go:build unix

package pgtest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Cloning a database, opening sessions on it and planning their statements
// costs more than most tests then do. So when a test ends, its database is
// cleaned and kept, with its sessions, for the next test of this process. A
// database that does not provably equal its template again is dropped.

// slot is a database with what it takes to clean it.
type slot struct {
	db      DB
	from    string // the template
	shut    atomic.Bool
	janitor *pgx.Conn         // as superuser; keeps its statements planned
	filled  map[string][]byte // tables with rows in the template: those rows, as COPY writes them
	count   string            // query for the fingerprints of these tables; "" if there are none
	rows    map[string]string // these fingerprints when the database was new
	schema  string            // fingerprint of what is no row of a table
}

// spares are the slots that no test has, by server and template.
var spares = struct {
	sync.Mutex
	of map[string][]*slot
}{of: map[string][]*slot{}}

func (s *server) spare(from string) *slot {
	spares.Lock()
	defer spares.Unlock()
	key := s.report.Super + from
	list := spares.of[key]
	if len(list) == 0 {
		return nil
	}
	last := list[len(list)-1]
	spares.of[key] = list[:len(list)-1]
	last.shut.Store(false)
	return last
}

func (s *server) keep(u *slot) {
	spares.Lock()
	defer spares.Unlock()
	key := s.report.Super + u.from
	spares.of[key] = append(spares.of[key], u)
}

var errEnded = errors.New("pgtest: the test that had this database has ended")

// cleaning marks the context of what runs between two tests.
type cleaning struct{}

// admit refuses connections to what outlives its test, as a closed pool would.
func (u *slot) admit(ctx context.Context, _ *pgx.Conn) (bool, error) {
	if u.shut.Load() && ctx.Value(cleaning{}) == nil {
		return true, errEnded
	}
	return true, nil
}

// newPool returns a pool small enough for many tests to share one server.
func (u *slot) newPool(connURL string) (*pgxpool.Pool, error) {
	conf, err := pgxpool.ParseConfig(connURL)
	if err != nil {
		return nil, fmt.Errorf("read a test database's address: %w", err)
	}
	conf.MaxConns = 6
	conf.PrepareConn = u.admit
	p, err := pgxpool.NewWithConfig(context.Background(), conf)
	if err != nil {
		return nil, fmt.Errorf("make a pool: %w", err)
	}
	return p, nil
}

func (u *slot) openPools() (err error) {
	for _, p := range []struct {
		pool **pgxpool.Pool
		url  string
	}{{&u.db.App, u.db.URL}, {&u.db.Owner, u.db.OwnerURL}, {&u.db.Bypass, u.db.bypassURL}} {
		if *p.pool != nil && (*p.pool).Stat().TotalConns() > 0 {
			continue
		}
		if *p.pool != nil { // unused, or closed by the test
			(*p.pool).Close()
		}
		if *p.pool, err = u.newPool(p.url); err != nil {
			return err
		}
	}
	return nil
}

func (u *slot) pools() []*pgxpool.Pool { return []*pgxpool.Pool{u.db.App, u.db.Owner, u.db.Bypass} }

// prepare takes the fingerprints of a new database. The janitor fires no
// trigger, so it deletes rows in any order.
func (u *slot) prepare(ctx context.Context, super string) (err error) {
	if u.janitor, err = pgx.Connect(ctx, onDB(super, u.db.Name)); err != nil {
		return err
	}
	if _, err := u.janitor.Exec(ctx, `SET session_replication_role = replica`); err != nil {
		return err
	}
	tables, err := u.list(ctx, `SELECT oid::regclass::text FROM pg_class WHERE relkind = 'r' AND oid >= 16384`)
	if err != nil {
		return err
	}
	var parts []string
	u.filled = map[string][]byte{}
	for _, name := range tables {
		var rows bytes.Buffer
		if _, err := u.janitor.PgConn().CopyTo(ctx, &rows, `COPY `+name+` TO STDOUT`); err != nil {
			return err
		}
		if rows.Len() > 0 {
			u.filled[name] = rows.Bytes()
			parts = append(parts, `SELECT '`+name+`', count(*) || ':' || sum(hashtextextended(t::text, 0)) FROM `+name+` t`)
		}
	}
	u.count = strings.Join(parts, ` UNION ALL `)
	if u.rows, err = u.counts(ctx); err != nil {
		return err
	}
	return u.janitor.QueryRow(ctx, schemaPrint).Scan(&u.schema)
}

// counts returns the fingerprint of each table that was not empty at first.
func (u *slot) counts(ctx context.Context) (map[string]string, error) {
	if u.count == "" {
		return nil, nil
	}
	rows, err := u.janitor.Query(ctx, u.count)
	if err != nil {
		return nil, err
	}
	of := map[string]string{}
	var name string
	var print *string // null when the table is empty
	_, err = pgx.ForEachRow(rows, []any{&name, &print}, func() error {
		if of[name] = ""; print != nil {
			of[name] = *print
		}
		return nil
	})
	return of, err
}

func (u *slot) list(ctx context.Context, sql string) ([]string, error) {
	rows, err := u.janitor.Query(ctx, sql)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

// schemaPrint changes with every committed change of the schema, its rights,
// its statistics or its sequences: a changed row of a catalog has another xmin.
// It also changes when deleted rows have made the database too big to reuse.
var schemaPrint = func() string {
	var parts []string
	for catalog, where := range map[string]string{
		"pg_class": "oid >= 16384", "pg_attribute": "attrelid >= 16384", "pg_type": "oid >= 16384", "pg_description": "objoid >= 16384",
		"pg_proc": "true", "pg_policy": "true", "pg_trigger": "true", "pg_constraint": "true", "pg_index": "true", "pg_attrdef": "true",
		"pg_rewrite": "true", "pg_namespace": "true", "pg_enum": "true", "pg_extension": "true", "pg_default_acl": "true",
		"pg_event_trigger": "true", "pg_statistic": "true", "pg_statistic_ext": "true", "pg_largeobject_metadata": "true",
		"pg_publication": "true", "pg_database": "datname = current_database()",
		"pg_db_role_setting": "setdatabase = (SELECT oid FROM pg_database WHERE datname = current_database())",
	} {
		parts = append(parts, fmt.Sprintf(`(SELECT count(*) || ':' || coalesce(sum(xmin::text::bigint), 0) FROM %s WHERE %s)`, catalog, where))
	}
	parts = append(parts,
		`(SELECT sum(relpages) FROM pg_class WHERE oid >= 16384)`,
		`(SELECT string_agg(last_value::text, ',') FROM pg_sequences)`,
		`(SELECT sum(pg_relation_size(oid)) > 16 * 1048576 FROM pg_class WHERE oid >= 16384)`)
	return `SELECT concat_ws(' ', ` + strings.Join(parts, `, `) + `)`
}()

// forget ends what a session remembers of a test, but not its planned
// statements: DISCARD ALL without DEALLOCATE ALL and DISCARD PLANS.
const forget = `CLOSE ALL; RESET SESSION AUTHORIZATION; RESET ALL; UNLISTEN *; SELECT pg_advisory_unlock_all(); DISCARD TEMP; DISCARD SEQUENCES`

// clean makes the database and its sessions as good as new, or reports false.
func (u *slot) clean(ctx context.Context) (bool, error) {
	ctx = context.WithValue(ctx, cleaning{}, true)
	if err := u.openPools(); err != nil {
		return false, err
	}
	known := 0
	for _, p := range u.pools() {
		for _, c := range p.AcquireAllIdle(ctx) {
			_, err := c.Conn().PgConn().Exec(ctx, forget).ReadAll()
			c.Release()
			if err != nil {
				return false, err
			}
			known++
		}
	}
	if !u.alone(ctx, known) {
		return false, nil
	}
	if err := u.restore(ctx); err != nil {
		return false, err
	}
	rows, err := u.counts(ctx)
	if err != nil {
		return false, err
	}
	var schema string
	err = u.janitor.QueryRow(ctx, schemaPrint).Scan(&schema)
	return maps.Equal(rows, u.rows) && schema == u.schema, err
}

// restore gives all tables the rows of the template.
func (u *slot) restore(ctx context.Context) error {
	tables, err := u.list(ctx, `SELECT oid::regclass::text FROM pg_class WHERE relkind = 'r' AND oid >= 16384 AND pg_relation_size(oid) > 0`)
	if err != nil {
		return err
	}
	rows, err := u.counts(ctx)
	if err != nil {
		return err
	}
	var sql strings.Builder
	for _, name := range tables {
		if u.filled[name] == nil || rows[name] != u.rows[name] {
			sql.WriteString(`DELETE FROM ` + name + `;`)
		}
	}
	if _, err := u.janitor.PgConn().Exec(ctx, sql.String()).ReadAll(); err != nil {
		return err
	}
	for name, copied := range u.filled {
		if rows[name] == u.rows[name] {
			continue
		}
		if _, err := u.janitor.PgConn().CopyFrom(ctx, bytes.NewReader(copied), `COPY `+name+` FROM STDIN`); err != nil {
			return err
		}
	}
	return nil
}

// alone reports whether the database has no sessions but the known ones. It
// allows those that were just closed a moment to disappear.
func (u *slot) alone(ctx context.Context, known int) bool {
	for range 50 {
		var n int
		err := u.janitor.QueryRow(ctx, `SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()`).Scan(&n)
		if err != nil || n <= known {
			return err == nil
		}
		time.Sleep(time.Millisecond)
	}
	return false
}

// leakPatience is how long connections may stay in use after a test ends.
// Without it a leaked connection would hang the test.
const leakPatience = 20 * time.Second

// idle waits until no pool lends a connection.
func (u *slot) idle(t testing.TB) bool {
	for end := time.Now().Add(leakPatience); ; time.Sleep(time.Millisecond) {
		lent := int32(0)
		for _, p := range u.pools() {
			st := p.Stat()
			lent += st.AcquiredConns() + st.ConstructingConns()
		}
		if lent == 0 {
			return true
		}
		if time.Now().After(end) {
			t.Errorf("pgtest: a connection was not returned to its pool within %s", leakPatience)
			return false
		}
	}
}
