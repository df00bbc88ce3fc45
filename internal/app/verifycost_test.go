package app_test

import (
	"runtime"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// crowded returns a clinic with the given numbers of placements and sessions,
// all copies of one.
func crowded(t testing.TB, placements, sessions int, marks string) *bench {
	t.Helper()
	b := newBench(t)
	for day := range sessions {
		b.mustPut(t, b.Home.Caregiver, b.session(marks, day-sessions-1).Document())
	}
	in := pgx.NamedArgs{"n": placements, "like_it": b.Home.Placement}
	for _, statement := range []string{
		`create table spare as select n, gen_random_uuid() as id from generate_series(2, @n::int) n`,
		`insert into placement select c.* from placement p, spare s, lateral jsonb_populate_record(null::placement, to_jsonb(p) || jsonb_build_object('id', s.id, 'strand_key', 'copy' || s.n)) c
			where p.id = @like_it`,
		`insert into recording select c.* from recording r, spare s, lateral jsonb_populate_record(null::recording, to_jsonb(r) || jsonb_build_object('id', gen_random_uuid(), 'placement_id', s.id)) c
			where r.placement_id = @like_it`,
		`insert into reading select c.* from reading g, spare s, lateral jsonb_populate_record(null::reading, to_jsonb(g) || jsonb_build_object('placement_id', s.id)) c
			where g.placement_id = @like_it`,
		`drop table spare`,
		`analyze`,
	} {
		args := []any{in}
		if statement == `analyze` || statement == `drop table spare` {
			args = nil
		}
		if _, err := b.DB.Bypass.Exec(t.Context(), statement, args...); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	return b
}

// TestVerifyInBatches checks that batches end, and that no reading is skipped
// or counted twice.
func TestVerifyInBatches(t *testing.T) {
	t.Parallel()
	for _, placements := range []int{100, 203} {
		b := crowded(t, placements, 12, "aanaa1aaan")
		found, err := b.app.Verify(t.Context())
		if err != nil || found.Readings != placements || found.Stale != 0 || len(found.Differences) != 0 {
			t.Errorf("%d placements: %d readings, %d stale, %d differ, %v", placements, found.Readings, found.Stale, len(found.Differences), err)
		}
	}
}

// BenchmarkVerify verifies a whole clinic, 300 families with eight programs and
// 60 sessions of 20 trials each (2.9 million trials), and for comparison only
// reads their rows.
func BenchmarkVerify(b *testing.B) {
	const placements = 300 * 8
	house := crowded(b, placements, 60, "aanaa1aaanaanaa1aaan")
	var verify, rows time.Duration
	var before, after runtime.MemStats
	n := 0
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		runtime.ReadMemStats(&before)
		begun := time.Now()
		found, err := house.app.Verify(b.Context())
		verify += time.Since(begun)
		runtime.ReadMemStats(&after)
		if err != nil || found.Readings != placements || len(found.Differences) > 0 {
			b.Fatal(found, err)
		}
		rows += readRows(b, house)
		n++
	}
	b.ReportMetric(float64(verify.Milliseconds())/float64(n), "verify-ms")
	b.ReportMetric(float64(rows.Milliseconds())/float64(n), "rows-ms")
	b.ReportMetric(float64(after.HeapSys)/(1<<20), "heap-MiB")
}

func readRows(b *testing.B, house *bench) time.Duration {
	b.Helper()
	begun := time.Now()
	for _, statement := range []string{`select session::text from recording`, `select body::text from reading`} {
		rows, err := house.DB.Bypass.Query(b.Context(), statement)
		if err != nil {
			b.Fatal(err)
		}
		var body string
		if _, err := pgx.ForEachRow(rows, []any{&body}, func() error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(begun)
}
