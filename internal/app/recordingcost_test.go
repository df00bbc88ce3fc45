package app_test

import (
	"context"
	"encoding/json"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/recording"
)

// counter counts statements as sent, including begin and commit and each
// statement of a pipeline.
type counter struct {
	mu   sync.Mutex
	list []string
}

func (c *counter) add(sql string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	first, _, _ := strings.Cut(strings.TrimSpace(sql), "\n")
	c.list = append(c.list, first)
}

func (c *counter) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	c.add(d.SQL)
	return ctx
}
func (c *counter) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (c *counter) TraceBatchStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceBatchStartData) context.Context {
	for _, q := range d.Batch.QueuedQueries {
		c.add(q.SQL)
	}
	return ctx
}
func (c *counter) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}
func (c *counter) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData)     {}

func (c *counter) take() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	list := c.list
	c.list = nil
	return list
}

// counted returns a bench whose app counts its statements.
func counted(t testing.TB) (*bench, *counter) {
	t.Helper()
	db, c := pgtest.New(t), &counter{}
	conf, err := pgxpool.ParseConfig(db.URL)
	if err != nil {
		t.Fatal(err)
	}
	conf.ConnConfig.Tracer, conf.MaxConns = c, 4
	pool, err := pgxpool.NewWithConfig(context.Background(), conf)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pool.Close)
	return benchOn(t, db, pool), c
}

// mostStatements is the limit for one PUT, including begin and commit.
const mostStatements = 8

func TestStatementsOfAPut(t *testing.T) {
	t.Parallel()
	b, c := counted(t)
	s := b.session("aa", -1)
	s.ID, s.Open = fixtureID(), true
	cut := b.Home.Caregiver
	cut.Families = nil
	for _, step := range []struct {
		name string
		do   func()
	}{
		{"opening", func() { b.mustPut(t, b.Home.Caregiver, s.Document()) }},
		{"closing", func() { s.Marks, s.Open = "aaaan", false; b.mustPut(t, b.Home.Caregiver, s.Document()) }},
		{"again", func() { b.mustPut(t, b.Home.Caregiver, s.Document()) }},
		{"late", func() { s.Marks, s.Open = "aaaanaa", true; b.mustPut(t, b.Home.Caregiver, s.Document()) }},
		{"closed at once", func() { b.mustPut(t, b.Home.Caregiver, b.session("aaaaa", 0).Document()) }},
		{"distress", func() {
			s := b.session("aad", 0)
			s.Distress = true
			b.mustPut(t, b.Home.Caregiver, s.Document())
		}},
	} {
		c.take()
		step.do()
		if list := c.take(); len(list) > mostStatements || len(list) == 0 {
			t.Errorf("%s: %d statements:\n%s", step.name, len(list), strings.Join(list, "\n"))
		}
	}
	sealing := newSealer(t, b)
	for _, open := range []bool{true, false} {
		sealed := b.session("aaaa", 0)
		sealed.Open = open
		in := sealing.seal(t, sealed.Document())
		c.take()
		if _, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, in); err != nil {
			t.Fatal(err)
		}
		if list := c.take(); len(list) > mostStatements || len(list) == 0 {
			t.Errorf("sealed, open %v: %d statements:\n%s", open, len(list), strings.Join(list, "\n"))
		}
	}
	if got := b.reading(t, b.Home); len(got.Body.Sessions) != 5 {
		t.Errorf("%d sessions read", len(got.Body.Sessions))
	}
}

// BenchmarkPut alternates a closing PUT (decoded, merged, evaluated among 20
// sessions, stored with receipt and reading) with a plain transaction that
// inserts as many rows of the same sizes, and reports the ratio of their costs.
func BenchmarkPut(b *testing.B) {
	bench, count := counted(b)
	for day := range 20 {
		bench.mustPut(b, bench.Home.Caregiver, bench.session("aanaa1aaan", day-21).Document())
	}
	plain := plainRows(b, bench)
	var put, insert cost
	var before, after runtime.MemStats
	var allocs uint64
	statements, puts := 0, 0
	b.ResetTimer()
	for b.Loop() {
		d := bench.session("aanaa1aaan", 0).Document()
		in := app.Delivered{ID: d.ID, Body: d.Encode()}
		count.take()
		runtime.ReadMemStats(&before)
		put.measure(b, bench, func() error {
			_, err := bench.app.StoreRecording(b.Context(), bench.Home.Caregiver, in)
			return err
		})
		runtime.ReadMemStats(&after)
		statements, puts, allocs = statements+len(count.take()), puts+1, allocs+after.Mallocs-before.Mallocs
		insert.measure(b, bench, func() error { return plain(b.Context()) })
		bench.forget(b, d)
	}
	n := float64(puts)
	b.ReportMetric(float64(put.time)/float64(insert.time), "put/insert")
	b.ReportMetric(put.time.Seconds()*1e6/n, "put-µs")
	b.ReportMetric(float64(statements)/n, "statements/op")
	b.ReportMetric(float64(put.wal)/n, "put-WAL-B")
	b.ReportMetric(float64(insert.wal)/n, "insert-WAL-B")
	b.ReportMetric(float64(allocs)/n, "put-allocs")
}

type cost struct {
	time time.Duration
	wal  int64
}

func (c *cost) measure(b *testing.B, bench *bench, fn func() error) {
	b.Helper()
	from := one[int64](b, bench, `select (pg_current_wal_insert_lsn() - '0/0')::bigint`, nil)
	start := time.Now()
	err := fn()
	c.time += time.Since(start)
	if err != nil {
		b.Fatal(err)
	}
	c.wal += one[int64](b, bench, `select (pg_current_wal_insert_lsn() - '0/0')::bigint`, nil) - from
}

// forget removes the measured recording, so that every iteration starts from
// the same state.
func (b *bench) forget(t testing.TB, d recording.Document) {
	t.Helper()
	if _, err := b.DB.Bypass.Exec(t.Context(), `delete from recording where id = $1`, d.ID); err != nil {
		t.Fatal(err)
	}
}

// plainRows returns a transaction that inserts three rows as large as those of
// a PUT: recording, delivery, reading.
func plainRows(t testing.TB, b *bench) func(context.Context) error {
	t.Helper()
	if _, err := b.DB.Bypass.Exec(t.Context(), `
		create table plain_recording (id uuid primary key, state jsonb, session jsonb, at timestamptz);
		create table plain_delivery (id uuid, hash text, receipt jsonb, primary key (id, hash));
		create table plain_reading (id uuid primary key, body jsonb);
		grant select, insert on plain_recording, plain_delivery, plain_reading to newel_app`); err != nil {
		t.Fatal(err)
	}
	type sample struct{ State, Session, Receipt, Body json.RawMessage }
	rows, _ := b.DB.Bypass.Query(t.Context(), `select r.state, r.session, d.receipt, g.body
		from recording r join delivery d on d.recording_id = r.id join reading g on g.placement_id = r.placement_id limit 1`)
	s, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByPos[sample])
	if err != nil {
		t.Fatal(err)
	}
	return func(ctx context.Context) error {
		return pgx.BeginFunc(ctx, b.DB.App, func(tx pgx.Tx) error {
			id := fixtureID()
			for _, q := range []struct {
				sql  string
				args []any
			}{
				{`insert into plain_recording values ($1, $2, $3, now())`, []any{id, s.State, s.Session}},
				{`insert into plain_delivery values ($1, $2, $3)`, []any{id, id.String(), s.Receipt}},
				{`insert into plain_reading values ($1, $2)`, []any{id, s.Body}},
			} {
				if _, err := tx.Exec(ctx, q.sql, q.args...); err != nil {
					return err
				}
			}
			return nil
		})
	}
}

func fixtureID() newel.RecordingID { return newel.NewID[newel.RecordingID]() }
