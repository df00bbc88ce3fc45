package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/recording"
)

// evening is the time of the sessions in these tests: 18:30 in the families'
// zone.
var evening = time.Date(2026, 3, 9, 18, 30, 0, 0, time.FixedZone("", 8*3600))

// bench is an app on a fixture.Bench, with a clock and a log that tests can
// inspect.
type bench struct {
	*fixture.Bench
	app *app.App
	log *lines
	now func() time.Time
}

// lines is a log that is safe for concurrent writes.
type lines struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func newBench(t testing.TB) *bench {
	t.Helper()
	db := pgtest.New(t)
	return benchOn(t, db, db.App)
}

func benchOn(t testing.TB, db *pgtest.DB, pool *pgxpool.Pool) *bench {
	t.Helper()
	b := &bench{Bench: fixture.NewBench(t, db), log: &lines{}, now: func() time.Time { return evening.Add(20 * time.Minute).UTC() }}
	b.app = app.New(postgres.FromPool(pool, func() time.Time { return b.now() }), slog.New(slog.NewTextHandler(b.log, nil)), func() time.Time { return b.now() })
	return b
}

func (b *bench) put(t testing.TB, actor newel.Actor, d recording.Document) (app.Stored, error) {
	t.Helper()
	return b.app.StoreRecording(t.Context(), actor, app.Delivered{ID: d.ID, Body: d.Encode()})
}

func (b *bench) mustPut(t testing.TB, actor newel.Actor, d recording.Document) app.Stored {
	t.Helper()
	s, err := b.put(t, actor, d)
	if err != nil {
		t.Fatal(err)
	}
	if s.Receipt.ID != d.ID || s.Receipt.SHA256 != recording.Sum(d.Encode()) {
		t.Fatalf("receipt is for another body: %+v", s.Receipt)
	}
	return s
}

// one reads a single value, bypassing every policy.
func one[T any](t testing.TB, b *bench, query string, in pgx.NamedArgs) T {
	t.Helper()
	rows, err := b.DB.Bypass.Query(context.Background(), query, in)
	if err != nil {
		t.Fatal(err)
	}
	v, err := pgx.CollectExactlyOneRow(rows, pgx.RowTo[T])
	if err != nil {
		t.Fatalf("%v in %s", err, query)
	}
	return v
}

func (b *bench) count(t testing.TB, table string) int {
	t.Helper()
	return one[int](t, b, "select count(*) from "+table, nil)
}

type keptReading struct {
	Status string
	Stale  bool
	Body   criterion.Reading
}

func (b *bench) reading(t testing.TB, h fixture.Household) keptReading {
	t.Helper()
	rows, _ := b.DB.Bypass.Query(context.Background(), `select status, stale, body from reading where placement_id = $1`, h.Placement)
	v, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByPos[keptReading])
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (b *bench) session(marks string, day int) fixture.Session {
	return fixture.Session{House: b.Home, Start: evening.AddDate(0, 0, day), Marks: marks}
}

func TestClosingEvaluatesThePlacement(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	for i, marks := range []string{"aaaan", "aaaaa", "aaaa1"} {
		b.mustPut(t, b.Home.Caregiver, b.session(marks, i-2).Document())
	}
	got := b.reading(t, b.Home)
	// 4 of 5, 5 of 5 and 4 of 5 independent: each at least 80 %, three in a
	// row.
	if got.Status != "met" || got.Stale || len(got.Body.Sessions) != 3 || *got.Body.Sessions[2].Value != 80 {
		t.Errorf("got %+v", got)
	}
	if one[string](t, b, `select state from assignment where id = @id`, pgx.NamedArgs{"id": b.Home.Assignment}) != "active" {
		t.Error("a session without a no changed the assignment")
	}
}

func TestOpenRecordingIsStoredButNotEvaluated(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	s := b.session("aa", 0)
	s.ID, s.Open = newel.NewID[newel.RecordingID](), true
	first := b.mustPut(t, b.Home.Caregiver, s.Document())
	if !first.Created || first.Receipt.Closed || first.Receipt.SafeThrough != 2 {
		t.Errorf("got %+v", first)
	}
	if b.count(t, "reading") != 0 {
		t.Error("an open recording was evaluated")
	}
	s.Marks, s.Open = "aaan", false
	second := b.mustPut(t, b.Home.Caregiver, s.Document())
	if second.Created || !second.Receipt.Closed || second.Receipt.SafeThrough != 4 || b.count(t, "reading") != 1 {
		t.Errorf("got %+v", second)
	}
}

// TestManyDeliveriesOneEffect delivers the same body many times concurrently.
func TestManyDeliveriesOneEffect(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	d := b.session("aa1dn", 0).Document()
	receipts := make([]recording.Receipt, 12)
	var wg sync.WaitGroup
	for i := range receipts {
		wg.Go(func() {
			s, err := b.put(t, b.Home.Caregiver, d)
			if err != nil {
				t.Error(err)
			}
			receipts[i] = s.Receipt
		})
	}
	wg.Wait()
	for _, r := range receipts {
		if diff := cmp.Diff(receipts[0], r); diff != "" {
			t.Errorf("receipts differ:\n%s", diff)
		}
	}
	if b.count(t, "recording") != 1 || b.count(t, "delivery") != 1 || b.count(t, "quarantine") != 0 {
		t.Errorf("%d recordings, %d deliveries", b.count(t, "recording"), b.count(t, "delivery"))
	}
	b.now = func() time.Time { return evening.AddDate(0, 1, 0) }
	if again := b.mustPut(t, b.Home.Caregiver, d); again.Receipt != receipts[0] || again.Created {
		t.Errorf("a month later: %+v, before %+v", again.Receipt, receipts[0])
	}
}

// TestConcurrentClosings closes two recordings of a placement concurrently; the
// reading includes both, in any order.
func TestConcurrentClosings(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	for day := range 4 {
		var wg sync.WaitGroup
		for _, marks := range []string{"aaaaa", "aaann"} {
			d := b.session(marks, day-4).Document()
			wg.Go(func() {
				if _, err := b.put(t, b.Home.Caregiver, d); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		if got := b.reading(t, b.Home); len(got.Body.Sessions) != 2*(day+1) || got.Stale {
			t.Fatalf("after %d pairs the reading has %d sessions", day+1, len(got.Body.Sessions))
		}
	}
}

// TestAnyOrderSameState checks that deliveries of one recording, in any order
// and some of them twice, lead to the same row.
func TestAnyOrderSameState(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	s := b.session("a", 0)
	s.ID, s.Open = newel.NewID[newel.RecordingID](), true
	var docs []recording.Document
	for _, marks := range []string{"a", "aa", "aan", "aan1"} {
		s.Marks = marks
		docs = append(docs, s.Document())
	}
	s.Marks, s.Rev = "av1", 2 // trials corrected
	docs = append(docs, s.Document())
	s.Open, s.Marks = false, "av1a"
	docs = append(docs, s.Document())
	s.Open, s.Marks, s.Rev = true, "av1aaa", 3 // more than the closing document had
	docs = append(docs, s.Document())

	type row struct {
		State, Session    string
		Closed, Needs     bool
		Trials            int
		Surplus, Delivery int
	}
	shuffle := rand.New(rand.NewPCG(1, 2)) // fixed seed: the same orders every time
	var want *row
	for range 12 {
		order := append(shuffle.Perm(len(docs)), shuffle.IntN(len(docs)))
		b.reset(t)
		for _, i := range order {
			b.mustPut(t, b.Home.Caregiver, docs[i])
		}
		rows, _ := b.DB.Bypass.Query(t.Context(), `select state::text, session::text, closed, needs_person, trials, 0, (select count(*) from delivery) from recording`)
		got, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByPos[row])
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = &got
		}
		if diff := cmp.Diff(*want, got); diff != "" {
			t.Fatalf("order %v differs:\n%s", order, diff)
		}
	}
	if want.Delivery != len(docs) || !want.Closed || !want.Needs || want.Trials != 3 {
		t.Errorf("got %+v", *want)
	}
}

// reset removes every recording.
func (b *bench) reset(t testing.TB) {
	t.Helper()
	if _, err := b.DB.Bypass.Exec(t.Context(), `delete from recording`); err != nil {
		t.Fatal(err)
	}
}

// TestForeignAndUnknownLookTheSame checks that another family's placement, an
// unknown placement and the id of another family's recording all get a receipt
// that says only "stored, a person will check it".
func TestForeignAndUnknownLookTheSame(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	theirs := b.mustPut(t, b.NextDoor.Caregiver, fixture.Session{House: b.NextDoor, Start: evening, Marks: "aaa"}.Document())

	foreign, unknown, taken := b.Home, b.Home, b.session("nnn", 0)
	foreign.Placement, unknown.Placement = b.NextDoor.Placement, newel.NewID[newel.PlacementID]()
	taken.ID = theirs.Receipt.ID
	documents := []recording.Document{
		fixture.Session{House: foreign, Start: evening, Marks: "nnn"}.Document(),
		fixture.Session{House: unknown, Start: evening, Marks: "nnn"}.Document(),
		taken.Document(),
	}
	before := one[string](t, b, `select state::text from recording`, nil)
	for i, d := range documents {
		first := b.mustPut(t, b.Home.Caregiver, d)
		if !first.Receipt.Quarantined || !first.Created || first.Receipt.SafeThrough != 3 || !first.Receipt.Closed {
			t.Errorf("document %d: %+v", i, first)
		}
		if again := b.mustPut(t, b.Home.Caregiver, d); again.Receipt != first.Receipt {
			t.Errorf("document %d, again: %+v, first %+v", i, again.Receipt, first.Receipt)
		}
	}
	if b.count(t, "recording") != 1 || b.count(t, "quarantine") != 3 || one[string](t, b, `select state::text from recording`, nil) != before {
		t.Error("the other family's recording was touched")
	}
	if got := b.reading(t, b.NextDoor); len(got.Body.Sessions) != 1 {
		t.Errorf("the other family's reading was touched: %+v", got)
	}
}

// TestAccessLostWhileOffline checks that a recording is stored, is visible to
// the family's staff, and counts once someone accepts it. The phone gets the
// same answer as before.
func TestAccessLostWhileOffline(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	cut := b.Home.Caregiver
	cut.Families = nil
	s := b.session("aaaan", -1)
	s.Distress = true
	d := s.Document()
	stored := b.mustPut(t, cut, d)
	if !stored.Receipt.Quarantined || b.count(t, "recording") != 0 {
		t.Fatalf("got %+v", stored)
	}
	held, err := b.app.Quarantine(t.Context(), b.Supervisor)
	if err != nil || len(held) != 1 || held[0].Learner != "Kavi" || held[0].Account != "Sari" {
		t.Fatalf("got %+v, %v", held, err)
	}
	other := b.Supervisor
	other.Families = []newel.FamilyID{b.NextDoor.Family}
	if held, err := b.app.Quarantine(t.Context(), other); err != nil || len(held) != 0 {
		t.Errorf("another supervisor sees %d, %v", len(held), err)
	}
	settle := app.SettleInput{Account: cut.Account, Recording: d.ID, Accept: true}
	if _, err := b.app.Settle(t.Context(), other, app.NewForm(), settle); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("another supervisor may settle: %v", err)
	}
	if _, err := b.app.Settle(t.Context(), b.Supervisor, app.NewForm(), settle); err != nil {
		t.Fatal(err)
	}
	if got := b.reading(t, b.Home); len(got.Body.Sessions) != 1 || got.Stale {
		t.Errorf("reading after accepting: %+v", got)
	}
	if state := one[string](t, b, `select state from assignment where id = @id`, pgx.NamedArgs{"id": b.Home.Assignment}); state != "resting" {
		t.Errorf("assignment is %s after a distress stop was accepted", state)
	}
	if again := b.mustPut(t, cut, d); again.Receipt != stored.Receipt {
		t.Errorf("the phone gets %+v, before %+v", again.Receipt, stored.Receipt)
	}
	if held, _ := b.app.Quarantine(t.Context(), b.Lead); len(held) != 0 {
		t.Errorf("still quarantined: %+v", held)
	}
}

func TestUnknownPlacementCannotBeAccepted(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	house := b.Home
	house.Placement = newel.NewID[newel.PlacementID]()
	d := fixture.Session{House: house, Start: evening, Marks: "a"}.Document()
	b.mustPut(t, b.Home.Caregiver, d)
	settle := app.SettleInput{Account: b.Home.Caregiver.Account, Recording: d.ID, Accept: true}
	var invalid *newel.Invalid
	if _, err := b.app.Settle(t.Context(), b.Lead, app.NewForm(), settle); !errors.As(err, &invalid) {
		t.Errorf("got %v", err)
	}
	if held, err := b.app.Quarantine(t.Context(), b.Supervisor); err != nil || len(held) != 0 {
		t.Errorf("a supervisor without the whole clinic sees %d, %v", len(held), err)
	}
	settle.Accept = false
	if _, err := b.app.Settle(t.Context(), b.Lead, app.NewForm(), settle); err != nil {
		t.Error(err)
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	d := b.session("a", 0).Document()
	if _, err := b.put(t, b.NextDoor.Caregiver, d); !errors.Is(err, newel.ErrUnauthenticated) {
		t.Errorf("another account's document: %v", err)
	}
	var wrong *recording.InvalidError
	if _, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, app.Delivered{ID: newel.NewID[newel.RecordingID](), Body: d.Encode()}); !errors.As(err, &wrong) || wrong.Path != "id" {
		t.Errorf("another id in the address: %v", err)
	}
	trainee := b.Home.Caregiver
	trainee.Capacities = []newel.Capacity{newel.Office}
	if _, err := b.put(t, trainee, d); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("office: %v", err)
	}
	if _, err := b.DB.Bypass.Exec(t.Context(), `insert into tombstone values ($1, $2, now())`, b.Clinic, d.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := b.put(t, b.Home.Caregiver, d); !errors.Is(err, newel.ErrGone) {
		t.Errorf("erased: %v", err)
	}
	if b.count(t, "recording")+b.count(t, "quarantine") != 0 {
		t.Error("something was stored nevertheless")
	}
}

// TestEvaluatorFails checks that, whatever the evaluator does, the recording is
// stored, its placement is marked, the log shows an error without content, and
// a later pass evaluates the placement.
func TestEvaluatorFails(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		with func(criterion.Case, int) (criterion.Reading, error)
	}{
		{"panics", func(criterion.Case, int) (criterion.Reading, error) { panic("the evaluator broke") }},
		{"fails", func(criterion.Case, int) (criterion.Reading, error) { return criterion.Reading{}, errors.New("no") }},
		{"returns what cannot be stored", func(criterion.Case, int) (criterion.Reading, error) {
			return criterion.Reading{Status: "met", Criterion: "\x00"}, nil // jsonb takes no NUL
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			b.mustPut(t, b.Home.Caregiver, b.session("aaaaa", -2).Document())
			b.app.SetEvaluator(c.with)
			s := b.session("aaaan", -1)
			s.Distress = true
			stored := b.mustPut(t, b.Home.Caregiver, s.Document())
			if !stored.Created || !stored.Receipt.Closed || b.count(t, "recording") != 2 {
				t.Fatalf("got %+v", stored)
			}
			if got := b.reading(t, b.Home); !got.Stale || len(got.Body.Sessions) != 1 {
				t.Errorf("the last reading should remain, marked: %+v", got)
			}
			if state := one[string](t, b, `select state from assignment where id = @id`, pgx.NamedArgs{"id": b.Home.Assignment}); state != "resting" {
				t.Errorf("the child's no was lost: %s", state)
			}
			log := b.log.String()
			if !strings.Contains(log, "level=ERROR") || !strings.Contains(log, b.Home.Placement.String()) || strings.Contains(log, "Kavi") {
				t.Errorf("log: %s", log)
			}
			if err := b.app.EvaluateStale(t.Context()); err != nil {
				t.Fatal(err)
			}
			if got := b.reading(t, b.Home); !got.Stale {
				t.Error("no longer marked, though it still fails")
			}
			b.app.SetEvaluator(criterion.EvaluateEach)
			if err := b.app.EvaluateStale(t.Context()); err != nil {
				t.Fatal(err)
			}
			if got := b.reading(t, b.Home); got.Stale || len(got.Body.Sessions) != 2 {
				t.Errorf("after the pass: %+v", got)
			}
		})
	}
}

// TestUnknownHelpWaitsForAPerson checks that a help level that the program
// lacks does not prevent the placement's evaluation.
func TestUnknownHelpWaitsForAPerson(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.mustPut(t, b.Home.Caregiver, b.session("aaaaa", -2).Document())
	d := b.session("a1", -1).Document()
	d.Trials[1].Answer.Help = "pull"
	b.mustPut(t, b.Home.Caregiver, d)
	if got := b.reading(t, b.Home); got.Stale || len(got.Body.Sessions) != 1 {
		t.Errorf("reading: %+v", got)
	}
	if !one[bool](t, b, `select needs_person from recording where id = @id`, pgx.NamedArgs{"id": d.ID}) {
		t.Error("no one is asked to check it")
	}
	answer := *d.Trials[1].Answer
	answer.Help = "point"
	if _, err := b.app.Amend(t.Context(), b.Supervisor, app.NewForm(), app.AmendInput{Recording: d.ID, Change: recording.GiveAnswer(2, answer), Reason: "It was a point."}); err != nil {
		t.Fatal(err)
	}
	if got := b.reading(t, b.Home); len(got.Body.Sessions) != 2 {
		t.Errorf("after the amendment: %+v", got)
	}
}

func TestUnknownTeacherIsNotCounted(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	s := b.session("aaaaa", -1)
	s.By = b.NextDoor.Self
	d := s.Document()
	b.mustPut(t, b.Home.Caregiver, d)
	session := one[string](t, b, `select session::text from recording`, nil)
	if strings.Contains(session, b.NextDoor.Self.String()) || !one[bool](t, b, `select needs_person and by_id is null from recording`, nil) {
		t.Errorf("a person of another family counts: %s", session)
	}
}

// TestLateDataCountsWhereItBelongs checks that a session of a placement that
// has ended in the meantime counts there and nowhere else.
func TestLateDataCountsWhereItBelongs(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	next := b.Home
	next.Placement = newel.NewID[newel.PlacementID]()
	b.mustPut(t, b.Home.Caregiver, b.session("aaaaa", -3).Document())
	for _, statement := range []string{
		`update placement set ended_at = now() where id = @old`,
		`insert into placement (clinic_id, family_id, id, assignment_id, version_id, step_key, strand_key, criterion, began_at, began_on)
			select clinic_id, family_id, @new, assignment_id, version_id, 's2', strand_key, criterion, began_at, began_on from placement where id = @old`,
	} {
		if _, err := b.DB.Bypass.Exec(t.Context(), statement, pgx.NamedArgs{"old": b.Home.Placement, "new": next.Placement}); err != nil {
			t.Fatal(err)
		}
	}
	b.mustPut(t, b.Home.Caregiver, fixture.Session{House: next, Start: evening.AddDate(0, 0, -1), Marks: "nnnnn"}.Document())
	b.mustPut(t, b.Home.Caregiver, b.session("aaaa1", -2).Document())
	if old, young := b.reading(t, b.Home), b.reading(t, next); len(old.Body.Sessions) != 2 || len(young.Body.Sessions) != 1 {
		t.Errorf("old %d sessions, new %d", len(old.Body.Sessions), len(young.Body.Sessions))
	}
}

func TestAmending(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx := t.Context()
	d := b.session("aannn", -1).Document()
	b.mustPut(t, b.Home.Caregiver, d)
	late := b.session("aannna", -1)
	late.ID, late.Open = d.ID, true
	b.mustPut(t, b.Home.Caregiver, late.Document()) // one trial beyond the closing

	amend := func(c recording.Change) (string, error) {
		return b.app.Amend(ctx, b.Supervisor, app.NewForm(), app.AmendInput{Recording: d.ID, Change: c, Reason: "Seen on the video."})
	}
	value := func() float64 { return *b.reading(t, b.Home).Body.Sessions[0].Value }
	if got := value(); got != 40 { // 2 of 5
		t.Fatalf("before: %v", got)
	}
	page, err := b.app.RecordingPage(ctx, b.Supervisor, d.ID)
	if err != nil || len(page.View.Surplus) != 1 || !page.Recording.NeedsPerson {
		t.Fatalf("page: %+v, %v", page, err)
	}
	if _, err := amend(recording.Join(page.View.Surplus[0].Ref)); err != nil {
		t.Fatal(err)
	}
	if got := value(); got != 50 { // 3 of 6
		t.Errorf("joined: %v", got)
	}
	if _, err := amend(recording.VoidTrial(3)); err != nil {
		t.Fatal(err)
	}
	if got := value(); got != 60 { // 3 of 5
		t.Errorf("one left out: %v", got)
	}
	form := app.NewForm()
	answer := *d.Trials[0].Answer
	in := app.AmendInput{Recording: d.ID, Change: recording.GiveAnswer(4, answer), Reason: "It was right."}
	for range 2 {
		if at, err := b.app.Amend(ctx, b.Supervisor, form, in); err != nil || at != "/recordings/"+d.ID.String() {
			t.Fatal(at, err)
		}
	}
	if got := value(); got != 80 || b.count(t, "amendment") != 3 { // 4 of 5
		t.Errorf("answer changed: %v, %d amendments", got, b.count(t, "amendment"))
	}
	page, err = b.app.RecordingPage(ctx, b.Supervisor, d.ID)
	if err != nil || page.Recording.NeedsPerson || len(page.Amendments) != 3 || page.Authors[b.Supervisor.Account] != "Tomas" {
		t.Errorf("page: %+v, %v", page, err)
	}
	var invalid *newel.Invalid
	if _, err := amend(recording.VoidTrial(9)); !errors.As(err, &invalid) {
		t.Errorf("a missing trial: %v", err)
	}
	if _, err := b.app.Amend(ctx, b.Supervisor, app.NewForm(), app.AmendInput{Recording: d.ID, Change: recording.VoidTrial(1), Reason: "  "}); !errors.As(err, &invalid) {
		t.Errorf("without a reason: %v", err)
	}
	if _, err := b.app.Amend(ctx, b.Home.Caregiver, app.NewForm(), in); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("a caregiver: %v", err)
	}
	stranger := b.Supervisor
	stranger.Families = []newel.FamilyID{b.NextDoor.Family}
	if _, err := b.app.Amend(ctx, stranger, app.NewForm(), in); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("a stranger: %v", err)
	}
}

// TestVerify checks that recomputed readings are equal until someone tampers.
func TestVerify(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	for i, marks := range []string{"aaaan", "annnn", "a1123", "ddada"} {
		b.mustPut(t, b.Home.Caregiver, b.session(marks, i-6).Document())
	}
	b.now = func() time.Time { return evening.AddDate(0, 0, 40) }
	found, err := b.app.Verify(t.Context())
	if err != nil || found.Readings != 1 || len(found.Differences) != 0 {
		t.Fatalf("got %+v, %v", found, err)
	}
	if _, err := b.DB.Bypass.Exec(t.Context(), `update recording set session = jsonb_set(session, '{trials,0,outcome}', '"incorrect"') where trials = 5`); err != nil {
		t.Fatal(err)
	}
	if found, err := b.app.Verify(t.Context()); err != nil || len(found.Differences) != 1 {
		t.Errorf("tampered: %+v, %v", found, err)
	}
}

func TestDistressPausesTheProgram(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx := t.Context()
	today := func() program.DayLearner {
		t.Helper()
		day, err := b.app.PhoneDay(ctx, b.Home.Caregiver, app.PhoneReport{})
		if err != nil || len(day.Learners) != 1 {
			t.Fatalf("today: %+v, %v", day, err)
		}
		return day.Learners[0]
	}
	if l := today(); l.Next == nil || l.Next.Placement != b.Home.Placement || l.Nickname != "Kavi" {
		t.Fatalf("got %+v", l)
	}
	s := b.session("ad", 0)
	s.Distress = true
	d := s.Document()
	b.mustPut(t, b.Home.Caregiver, d)
	if l := today(); l.Next != nil || len(l.Resting) != 1 {
		t.Errorf("offered nevertheless: %+v", l)
	}
	p, err := b.app.Progress(ctx, b.Supervisor, b.Home.Placement)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.app.Decide(ctx, b.Supervisor, app.NewForm(), b.Home.Placement, app.DecisionInput{
		Kind: newel.DecisionLift, Agreed: "Two tries only.", AgreedOn: p.Today.String(), No: p.LastNo.Mark(),
	}); err != nil {
		t.Fatal(err)
	}
	if l := today(); l.Next == nil {
		t.Error("still not offered")
	}
	// A late document of the same session does not pause it again.
	late := b.session("adaaa", 0)
	late.ID, late.Open = d.ID, true
	b.mustPut(t, b.Home.Caregiver, late.Document())
	if l := today(); l.Next == nil {
		t.Error("paused again by a late document about the same no")
	}
}

// TestTimesAreFixedOnce: the phone's clock is a day slow. The server corrects
// it once, and later documents do not change the times.
func TestTimesAreFixedOnce(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	s := b.session("aaaa", -1)
	d := s.Document()
	length := time.Duration(d.Closing.EndMS) * time.Millisecond
	sent := recording.Sent{At: recording.DeviceTime(s.Start.Add(length + time.Minute).Format(time.RFC3339))}
	if _, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode(), Sent: sent}); err != nil {
		t.Fatal(err)
	}
	ended := one[time.Time](t, b, `select ended_at from recording`, nil)
	if want := b.now().Add(-time.Minute); !ended.Equal(want) {
		t.Errorf("ended %s, want %s", ended, want)
	}
	if !one[bool](t, b, `select corrected from recording where local_date = '2026-03-09'`, nil) {
		t.Error("the correction is not visible")
	}
	b.now = func() time.Time { return evening.AddDate(0, 0, 9) }
	late := b.session("aaaaa", -1)
	late.ID, late.Open = d.ID, true
	b.mustPut(t, b.Home.Caregiver, late.Document())
	if again := one[time.Time](t, b, `select ended_at from recording`, nil); !again.Equal(ended) {
		t.Errorf("moved to %s by a late document", again)
	}
}

// TestJSONOfReceipt fixes the receipt's wire format.
func TestJSONOfReceipt(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	stored := b.mustPut(t, b.Home.Caregiver, b.session("a", 0).Document())
	raw, err := json.Marshal(stored.Receipt)
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(raw, &fields); err != nil {
		t.Fatal(err)
	}
	if _, told := fields["quarantined"]; told || fields["stored_at"] != "2026-03-09T10:50:00Z" {
		t.Errorf("got %s", raw)
	}
	if _, err := uuid.Parse(fields["id"].(string)); err != nil {
		t.Error(err)
	}
}
