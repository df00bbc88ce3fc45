package app_test

import (
	"context"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// spy records every statement with its arguments.
type spy struct {
	mu   sync.Mutex
	seen []pgx.TraceQueryStartData
}

func (s *spy) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seen = append(s.seen, d)
	return ctx
}

func (s *spy) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (s *spy) take() []pgx.TraceQueryStartData {
	s.mu.Lock()
	defer s.mu.Unlock()
	list := s.seen
	s.seen = nil
	return list
}

// fullHouse is a clinic with as many families as one process should serve, each
// with eight programs: one in ten shows no progress, every second has a
// decision.
func fullHouse(t testing.TB, families int) (*schoolhouse, *pgxpool.Pool, *spy) {
	t.Helper()
	db, watch := pgtest.New(t), &spy{}
	conf, err := pgxpool.ParseConfig(db.URL)
	if err != nil {
		t.Fatal(err)
	}
	conf.ConnConfig.Tracer = watch
	pool, err := pgxpool.NewWithConfig(context.Background(), conf)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pool.Close)
	s := &schoolhouse{World: fixture.Clinic(t, db)}
	s.now = s.Now
	clock := func() time.Time { return s.now }
	s.app = app.New(postgres.FromPool(pool, clock), slog.New(slog.DiscardHandler), clock)
	flat, way := s.assigned(t, fixture.WashingHands())["b1"], s.assigned(t, fixture.WhichCup())["f1"]
	s.now = s.now.AddDate(0, 0, 3)
	s.teach(t, flat, slices.Repeat([]string{"annnnnnnnn"}, 12)...)
	s.teach(t, way, "aannnaannn", "aaannaaann", "aaannaanna", "aaanaaannn")
	s.now = s.now.Add(time.Hour)
	in := pgx.NamedArgs{"n": families, "flat": flat, "way": way, "lead": s.Lead.Account, "now": s.now}
	for _, statement := range []string{
		`create table spare as select n, gen_random_uuid() as family, gen_random_uuid() as learner from generate_series(1, @n::int) n`,
		`create table taught as select spare.*, k, gen_random_uuid() as assignment, gen_random_uuid() as placement, gen_random_uuid() as program,
			case when (n * 8 + k) % 10 = 0 then @flat::uuid else @way::uuid end as like_it from spare, generate_series(1, 8) k`,
		`insert into family (clinic_id, id, name, time_zone) select @clinic, family, 'Family ' || n, @zone from spare`,
		`insert into learner (clinic_id, family_id, id, nickname) select @clinic, family, learner, 'Child ' || n from spare`,
		`insert into caseload (clinic_id, family_id, account_id) select @clinic, family, @lead from spare`,
		`insert into person (clinic_id, family_id, id, name) select @clinic, family, gen_random_uuid(), 'Person ' || k from spare, generate_series(1, 3) k`,
		`insert into program (clinic_id, id, title, created_by) select @clinic, min(program::text)::uuid, 'Program ' || k, @lead from taught group by k`,
		`update taught set program = p.id from program p where p.title = 'Program ' || k`,
		`insert into assignment (clinic_id, family_id, id, learner_id, program_id, created_by)
			select @clinic, family, assignment, learner, program, @lead from taught`,
		`insert into placement (clinic_id, family_id, id, assignment_id, version_id, step_key, strand_key, criterion, began_at, began_on)
			select @clinic, t.family, t.placement, t.assignment, p.version_id, p.step_key, p.strand_key, p.criterion, p.began_at, p.began_on
			from taught t join placement p on p.id = t.like_it`,
		`insert into reading (clinic_id, family_id, placement_id, as_of, evaluator, status, body, idle_from, gist, latest)
			select @clinic, t.family, t.placement, r.as_of, r.evaluator, r.status, r.body, r.idle_from, r.gist, r.latest
			from taught t join reading r on r.placement_id = t.like_it`,
		`insert into decision (clinic_id, family_id, id, placement_id, kind, closes, reading, answered, decided_by, decided_at)
			select @clinic, t.family, gen_random_uuid(), t.placement, 'seen', false, r.body, r.gist, @lead, @now
			from taught t join reading r on r.placement_id = t.placement where t.n % 2 = 0`,
		`drop table taught, spare`,
	} {
		s.Exec(t, statement, in)
	}
	if _, err := s.DB.Bypass.Exec(t.Context(), `analyze`); err != nil {
		t.Fatal(err)
	}
	watch.take()
	return s, pool, watch
}

// families is how many families of one clinic a process should serve.
const families = 300

func TestCaseloadOfAWholeClinic(t *testing.T) {
	t.Parallel()
	s, pool, watch := fullHouse(t, families)
	c, err := s.app.Caseload(t.Context(), s.Lead, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	list := watch.take()
	if total := c.Asking() + c.QuietTotal; total < families*8 || c.QuietPages < 2 || len(c.Quiet) != reading.QuietRows || len(c.Groups) == 0 {
		t.Errorf("%d rows, %d quiet on %d pages, %d groups", total, c.QuietTotal, c.QuietPages, len(c.Groups))
	}
	if g := c.Groups[0]; len(g.Items) != reading.GroupRows || g.Total <= len(g.Items) || len(g.Items[0].Sessions) != 10 || len(g.Items[0].Steps) != 3 {
		t.Errorf("the first group shows %d of %d", len(g.Items), g.Total)
	}
	if len(list) > 8 { // begin, scope, rows, around, details, steps, commit
		t.Errorf("%d statements", len(list))
	}
	for _, relation := range touched(t, pool, list) {
		if relation == "recording" || relation == "delivery" || relation == "amendment" {
			t.Errorf("the caseload reads %s", relation)
		}
	}
}

// touched explains the statements with the application's role in their own
// scope, and lists the tables in the plans.
func touched(t *testing.T, pool *pgxpool.Pool, list []pgx.TraceQueryStartData) []string {
	t.Helper()
	tx, err := pool.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(context.Background()) }()
	var relations []string
	planned := 0
	for _, q := range list {
		text := strings.ToLower(strings.TrimSpace(q.SQL))
		switch {
		case strings.Contains(text, "set_config"):
			if _, err := tx.Exec(t.Context(), q.SQL, q.Args...); err != nil {
				t.Fatal(err)
			}
		case strings.HasPrefix(text, "select"):
			rows, err := tx.Query(t.Context(), "explain (format text, verbose) "+q.SQL, q.Args...)
			if err != nil {
				t.Fatal(err)
			}
			lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
			if err != nil {
				t.Fatalf("%v in %s", err, q.SQL)
			}
			planned++
			for _, line := range lines {
				if _, on, is := strings.Cut(line, " on public."); is {
					relations = append(relations, strings.Fields(on)[0])
				}
			}
		}
	}
	if planned < 4 || !slices.Contains(relations, "placement") || !slices.Contains(relations, "reading") {
		t.Fatalf("%d plans, of %v", planned, relations)
	}
	return relations
}

// BenchmarkCaseload opens the caseload of a whole clinic as its lead, and of
// one supervisor's twenty families.
func BenchmarkCaseload(b *testing.B) {
	s, _, _ := fullHouse(b, families)
	some := newel.Actor{Clinic: s.Clinic, Account: s.Supervisor.Account, Capacities: s.Supervisor.Capacities}
	rows, err := s.DB.Bypass.Query(b.Context(), `select id from family where clinic_id = $1 order by name limit 20`, s.Clinic)
	if err != nil {
		b.Fatal(err)
	}
	if some.Families, err = pgx.CollectRows(rows, pgx.RowTo[newel.FamilyID]); err != nil {
		b.Fatal(err)
	}
	for name, who := range map[string]newel.Actor{"lead, 300 families": s.Lead, "supervisor, 20 families": some} {
		b.Run(name, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				from := time.Now()
				if _, err := s.app.Caseload(b.Context(), who, reading.CaseloadFilter{}); err != nil {
					b.Fatal(err)
				}
				took = append(took, time.Since(from))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
			b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
		})
	}
}
