package app_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
)

// dayOf returns the only learner of the caregiver's day.
func dayOf(t *testing.T, a *app.App, who newel.Actor) (program.DayLearner, []program.DayKit) {
	t.Helper()
	day, err := a.PhoneDay(t.Context(), who, app.PhoneReport{})
	if err != nil || len(day.Learners) != 1 {
		t.Fatalf("%d learners, %v", len(day.Learners), err)
	}
	return day.Learners[0], day.Kits
}

// TestDayOffersEveryProgram checks that a learner's day has all programs with
// their kits, however many there are, and lists paused and finished ones.
func TestDayOffersEveryProgram(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	s.SetCare(t, s.Home.Learner, newel.Care{Alerts: newel.Alerts{Asked: true}, StopSigns: "turns away"})
	const n = 7
	placements := map[string]newel.PlacementID{}
	for i := range n {
		d := fixture.WashingHands()
		d.Title = fmt.Sprintf("Program %d", i)
		v := s.Publish(t, d)
		if _, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, app.AssignInput{Program: v.ProgramID.String(), WithoutTouch: true}); err != nil {
			t.Fatal(err)
		}
		var id newel.PlacementID
		row := s.DB.Bypass.QueryRow(t.Context(), `select p.id from placement p join assignment a on a.id = p.assignment_id where a.program_id = $1`, v.ProgramID)
		if err := row.Scan(&id); err != nil {
			t.Fatal(err)
		}
		placements[d.Title] = id
	}
	l, kits := dayOf(t, s.app, s.Home.Caregiver)
	if l.Next == nil || len(l.Others) != n-1 || len(kits) != n {
		t.Fatalf("next %v, %d others, %d kits", l.Next, len(l.Others), len(kits))
	}
	until := newel.DayOf(s.now.AddDate(0, 0, 9), time.UTC)
	if err := s.decide(t, s.Supervisor, placements["Program 2"], app.DecisionInput{Kind: newel.DecisionPause, Reason: "They are away.", ExpectedBy: until.String()}); err != nil {
		t.Fatal(err)
	}
	if err := s.decide(t, s.Supervisor, placements["Program 4"], app.DecisionInput{Kind: newel.DecisionFinish, Reason: "Something else matters more."}); err != nil {
		t.Fatal(err)
	}
	l, kits = dayOf(t, s.app, s.Home.Caregiver)
	if len(l.Others) != n-3 || len(kits) != n-2 {
		t.Errorf("%d others, %d kits", len(l.Others), len(kits))
	}
	if len(l.Paused) != 1 || l.Paused[0].Title != "Program 2" || l.Paused[0].Until != until {
		t.Errorf("paused: %+v", l.Paused)
	}
	if len(l.Finished) != 1 || l.Finished[0].Title != "Program 4" || l.Finished[0].Learned || l.Finished[0].On.IsZero() {
		t.Errorf("finished: %+v", l.Finished)
	}
}

// TestDayWithNothingToTeach checks that a learner whose programs are all paused
// stays on the phone.
func TestDayWithNothingToTeach(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	if _, err := b.app.Decide(t.Context(), b.Lead, app.NewForm(), b.Home.Placement, app.DecisionInput{Kind: newel.DecisionPause, Reason: "They are away."}); err != nil {
		t.Fatal(err)
	}
	l, kits := dayOf(t, b.app, b.Home.Caregiver)
	if l.Next != nil || len(l.Others) != 0 || len(kits) != 0 || len(l.Paused) != 1 || !l.Paused[0].Until.IsZero() {
		t.Errorf("%+v, %d kits", l, len(kits))
	}
}

// TestDaySaysWhatWasDone checks that the day lists today's sessions by whom and
// with their marks, an unfinished one apart, and none of another day.
func TestDaySaysWhatWasDone(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.mustPut(t, b.Home.Caregiver, b.session("aaa", -1).Document())
	done := b.session("a2nrdcv", 0)
	done.By = b.Home.Other
	doc := done.Document()
	b.mustPut(t, b.Home.Caregiver, doc)
	open := fixture.Session{House: b.Home, Start: evening.Add(5 * time.Minute), Marks: "a1", Open: true}.Document()
	b.mustPut(t, b.Home.Caregiver, open)
	other := b.session("a", 0)
	other.House = b.NextDoor
	b.mustPut(t, b.NextDoor.Caregiver, other.Document())

	l, _ := dayOf(t, b.app, b.Home.Caregiver)
	if len(l.Done) != 1 || len(l.Begun) != 1 {
		t.Fatalf("%d done, %d begun", len(l.Done), len(l.Begun))
	}
	d := l.Done[0]
	want := []string{"alone", "help-2", "not_yet", "no_response", "declined", "no_chance"}
	if diff := cmp.Diff(want, d.Marks); diff != "" || d.ID != doc.ID || d.ByName != "Opah" || d.Title != "Which cup?" || d.Role != "Finder" || d.Placement != b.Home.Placement || d.Stopped || d.Afterwards {
		t.Errorf("%+v\n%s", d, diff)
	}
	if o := l.Begun[0]; o.ID != open.ID || o.ByName != "Sari" || o.Trials != 2 {
		t.Errorf("begun: %+v", o)
	}
	if _, err := b.DB.Bypass.Exec(t.Context(), `update recording set void = true where id = @id`, pgx.NamedArgs{"id": doc.ID}); err != nil {
		t.Fatal(err)
	}
	if l, _ = dayOf(t, b.app, b.Home.Caregiver); len(l.Done) != 0 {
		t.Errorf("a void session is still done: %+v", l.Done)
	}
}

// TestDayHasAFact checks that the day sets an early session with help beside a
// late one without.
func TestDayHasAFact(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.mustPut(t, b.Home.Caregiver, b.session("22n1", -5).Document())
	if l, _ := dayOf(t, b.app, b.Home.Caregiver); l.Fact != nil {
		t.Errorf("a fact from one session: %+v", l.Fact)
	}
	b.mustPut(t, b.Home.Caregiver, b.session("aa1a", -1).Document())
	l, _ := dayOf(t, b.app, b.Home.Caregiver)
	want := &program.DayFact{
		Kind: "help", Title: "Which cup?", WasStep: "Find it under the cup", WasOn: newel.NewDay(2026, 3, 4), WasN: 3, WasOf: 4,
		NowStep: "Find it under the cup", NowOn: newel.NewDay(2026, 3, 8), NowN: 3, NowOf: 4,
	}
	if l.Fact == nil || *l.Fact != *want {
		t.Errorf("got %+v", l.Fact)
	}
}

// TestFamilyReadsItsOwnWords checks that a decision's words for the family reach
// the phone under the role that it was about, for two weeks, and its reason never
// does.
func TestFamilyReadsItsOwnWords(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	decide := func(in app.DecisionInput) {
		t.Helper()
		p, err := b.app.Progress(t.Context(), b.Supervisor, b.Home.Placement)
		if err != nil {
			t.Fatal(err)
		}
		in.After = p.Latest()
		if _, err := b.app.Decide(t.Context(), b.Supervisor, app.NewForm(), b.Home.Placement, in); err != nil {
			t.Fatal(err)
		}
	}
	next := func() program.DayOffer {
		t.Helper()
		l, _ := dayOf(t, b.app, b.Home.Caregiver)
		return *l.Next
	}
	decide(app.DecisionInput{Kind: newel.DecisionHold, Reason: "The mother is tired."})
	if o := next(); o.Note != "" || o.NoteBy != "" || !o.NoteOn.IsZero() {
		t.Errorf("a private reason on the phone: %+v", o)
	}
	decide(app.DecisionInput{Kind: newel.DecisionHold, Reason: "The mother is tired.", ForFamily: "He looks at the cups now."})
	if o := next(); o.Note != "He looks at the cups now." || o.NoteBy != "Tomas" || o.NoteOn != newel.NewDay(2026, 3, 9) {
		t.Errorf("for the family: %+v", o)
	}
	decide(app.DecisionInput{Kind: newel.DecisionSeen})
	if o := next(); o.Note != "He looks at the cups now." {
		t.Errorf("after a decision that says nothing: %q", o.Note)
	}
	before := b.now
	b.now = func() time.Time { return before().AddDate(0, 0, 15) }
	if o := next(); o.Note != "" {
		t.Errorf("after two weeks: %q", o.Note)
	}
}
