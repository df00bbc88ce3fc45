package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/recording"
)

// refused is a schoolhouse whose learner has said no on the second step of a
// program.
type refused struct {
	*schoolhouse
	second newel.PlacementID
}

func newRefused(t *testing.T) refused {
	t.Helper()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "does it at nursery"}); err != nil {
		t.Fatal(err)
	}
	r := refused{s, s.open(t)["b2"]}
	r.no(t, 3)
	return r
}

// no records a session that the child's no ended.
func (r refused) no(t testing.TB, hoursAgo int) {
	t.Helper()
	r.record(t, r.open(t)["b2"], hoursAgo, "ad", func(d *recording.Document) {
		d.Header.EndedEarly = recording.Rev(1, recording.EndedDistress)
	})
}

func (r refused) state(t testing.TB) newel.AssignmentState {
	t.Helper()
	for _, id := range r.open(t) {
		return r.progress(t, id).Assignment.State
	}
	t.Fatal("nothing is open")
	return ""
}

// lifting returns a valid input for the page as it is now.
func (r refused) lifting(t testing.TB) app.DecisionInput {
	t.Helper()
	p := r.progress(t, r.second)
	return app.DecisionInput{
		Kind: newel.DecisionLift, Agreed: "Two rounds only, and Kavi chooses who teaches.", AgreedOn: p.Today.AddDays(-1).String(),
		After: p.Latest(), No: p.LastNo.Mark(),
	}
}

func (r refused) day(t testing.TB) program.DayLearner {
	t.Helper()
	day, err := r.app.PhoneDay(t.Context(), r.Home.Caregiver, app.PhoneReport{})
	if err != nil || len(day.Learners) != 1 {
		t.Fatalf("day: %+v, %v", day, err)
	}
	return day.Learners[0]
}

func (r refused) group(t testing.TB) reading.Group {
	t.Helper()
	c, err := r.app.Caseload(t.Context(), r.Supervisor, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Groups) == 0 {
		return reading.Quiet
	}
	return c.Groups[0].Group
}

// TestNoDecisionLiftsThePauseInPassing tries every other decision on a program
// that is paused after a no.
func TestNoDecisionLiftsThePauseInPassing(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		in   app.DecisionInput
		want []string // problems; nil if it is recorded
	}{
		"seen":      {app.DecisionInput{Kind: newel.DecisionSeen}, nil},
		"hold":      {app.DecisionInput{Kind: newel.DecisionHold, Reason: "wait"}, nil},
		"step back": {app.DecisionInput{Kind: newel.DecisionStepBack, To: "b1", Reason: "the towel frightened him"}, nil},
		"advance":   {app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "does it at nursery"}, nil},
		"revise":    {app.DecisionInput{Kind: newel.DecisionRevise, Reason: "other words"}, nil},
		"help":      {app.DecisionInput{Kind: newel.DecisionMoreHelp, Reason: "too hard"}, nil},
		"split":     {app.DecisionInput{Kind: newel.DecisionBranch, Reason: "too much at once", Steps: []app.SmallerStep{{Label: "B2a", Name: "one hand", DoneWhen: "one hand"}, {Label: "B2b", Name: "both", DoneWhen: "both"}}}, nil},
		"pause":     {app.DecisionInput{Kind: newel.DecisionPause, Reason: "holiday"}, []string{"kind stop.paused_already"}},
		"resume":    {app.DecisionInput{Kind: newel.DecisionResume}, []string{"kind stop.lift_first"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRefused(t)
			err := r.decide(t, r.Supervisor, r.second, c.in)
			if diff := cmp.Diff(c.want, problemKeys(err)); diff != "" || (err == nil) != (c.want == nil) {
				t.Fatalf("%v\n%s", err, diff)
			}
			if got := r.state(t); got != newel.AssignmentResting {
				t.Errorf("it is %s", got)
			}
			if got := r.group(t); got != reading.GroupSaidNo {
				t.Errorf("its row is in group %q", got)
			}
			if l := r.day(t); l.Next != nil || len(l.Resting) == 0 {
				t.Errorf("the phone offers it: %+v", l)
			}
		})
	}
	t.Run("own words", func(t *testing.T) {
		t.Parallel()
		r := newRefused(t)
		if _, err := r.app.SetOwn(t.Context(), r.Supervisor, app.NewForm(), r.second, app.OwnInput{Say: "Shall we?", Trials: "3", Reason: "gentler"}); err != nil {
			t.Fatal(err)
		}
		if got := r.state(t); got != newel.AssignmentResting {
			t.Errorf("it is %s", got)
		}
	})
}

func TestLiftingWantsWhatWasAgreedAndWhen(t *testing.T) {
	t.Parallel()
	r := newRefused(t)
	for name, c := range map[string]struct {
		change func(*app.DecisionInput)
		want   []string
	}{
		"no line":       {func(in *app.DecisionInput) { in.Agreed = " " }, []string{"agreed field.required"}},
		"two lines":     {func(in *app.DecisionInput) { in.Agreed = "Two\nrounds" }, []string{"agreed field.one_line"}},
		"too long":      {func(in *app.DecisionInput) { in.Agreed = strings.Repeat("x", newel.MaxLine+1) }, []string{"agreed field.too_long"}},
		"no day":        {func(in *app.DecisionInput) { in.AgreedOn = "" }, []string{"agreed_on field.date"}},
		"a day to come": {func(in *app.DecisionInput) { in.AgreedOn = r.progress(t, r.second).Today.AddDays(1).String() }, []string{"agreed_on stop.future"}},
		"an older page": {func(in *app.DecisionInput) { in.No = "" }, []string{"agreed stop.no_again"}},
	} {
		in := r.lifting(t)
		c.change(&in)
		err := r.decide(t, r.Supervisor, r.second, in)
		if diff := cmp.Diff(c.want, problemKeys(err)); diff != "" {
			t.Errorf("%s: %v\n%s", name, err, diff)
		}
	}
	before := r.lifting(t)
	r.no(t, 1)
	if err := r.decide(t, r.Supervisor, r.second, before); problemKeys(err) == nil {
		t.Errorf("lifted although the child said no again: %v", err)
	}
	if got := r.state(t); got != newel.AssignmentResting {
		t.Errorf("it is %s", got)
	}
}

// TestTheClinicLiftsThePause follows a no to its end: the row stays until
// someone writes what was agreed, and the family reads it.
func TestTheClinicLiftsThePause(t *testing.T) {
	t.Parallel()
	r := newRefused(t)
	if err := r.decide(t, r.Home.Caregiver, r.second, r.lifting(t)); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("by the family: %v", err)
	}
	said := app.TalkInput{ID: newel.NewID[newel.TalkID](), Assignment: r.progress(t, r.second).Assignment.ID, Line: "She was tired after nursery.", At: r.now}
	if out, err := r.app.Talked(t.Context(), r.Home.Caregiver, said); err != nil || !out.Rests {
		t.Fatalf("%+v, %v", out, err)
	}
	if out, err := r.app.Talked(t.Context(), r.Home.Caregiver, said); err != nil || !out.Rests {
		t.Errorf("again: %+v, %v", out, err)
	}
	if _, err := r.app.Talked(t.Context(), r.NextDoor.Caregiver, said); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("from next door: %v", err)
	}
	want := []newel.Said{{Line: said.Line, By: r.Home.Caregiver.Name, At: said.At}}
	l := r.day(t)
	if l.Next != nil || len(l.Resting) != 1 {
		t.Fatalf("what the family says started the program: %+v", l)
	}
	if diff := cmp.Diff(want, l.Resting[0].Said, cmpopts.EquateApproxTime(time.Millisecond)); diff != "" {
		t.Errorf("on the phone: %s", diff)
	}
	c, err := r.app.Caseload(t.Context(), r.Supervisor, reading.CaseloadFilter{})
	if err != nil || len(c.Groups) == 0 || c.Groups[0].Group != reading.GroupSaidNo {
		t.Fatalf("%+v, %v", c, err)
	}
	if diff := cmp.Diff(want, c.Groups[0].Items[0].Detail.Said, cmpopts.EquateApproxTime(time.Millisecond)); diff != "" {
		t.Errorf("on the caseload: %s", diff)
	}
	if p := r.progress(t, r.second); len(p.SaidSinceLifted()) != 1 || p.Talks[0].Line != said.Line {
		t.Errorf("on the progress page: %+v", p.Talks)
	}

	r.now = r.now.Add(time.Minute)
	in := r.lifting(t)
	if err := r.decide(t, r.Supervisor, r.second, in); err != nil {
		t.Fatal(err)
	}
	if got := r.state(t); got != newel.AssignmentActive {
		t.Errorf("it is %s", got)
	}
	if got := r.group(t); got != reading.Quiet {
		t.Errorf("its row is in group %q", got)
	}
	l = r.day(t)
	if l.Next == nil || l.Next.Lifted == nil || l.Next.Lifted.Line != in.Agreed || l.Next.Lifted.AgreedOn.String() != in.AgreedOn || l.Next.Lifted.By != r.Supervisor.Name || len(l.Next.Said) != 0 {
		t.Errorf("on the phone: %+v", l.Next)
	}
	p := r.progress(t, r.second)
	if d := p.Decisions[0]; d.Kind != newel.DecisionLift || d.Reason != in.Agreed || d.AgreedOn.String() != in.AgreedOn || len(p.SaidSinceLifted()) != 0 || len(p.Talks) != 1 {
		t.Errorf("on record: %+v", d)
	}
	if n := r.count(t, `select count(*) from audit where deed = 'decision.lift'`, nil); n != 1 {
		t.Errorf("%d audit entries", n)
	}
	if err := r.decide(t, r.Supervisor, r.second, in); err == nil {
		t.Error("lifted twice")
	}

	r.now = r.now.Add((reading.LiftedDays + 1) * 24 * time.Hour)
	if l := r.day(t); l.Next == nil || l.Next.Lifted != nil {
		t.Errorf("Today still shows it: %+v", l.Next)
	}
	// A later no pauses the program again, and what was said before is about the
	// earlier one.
	r.no(t, 1)
	if l := r.day(t); l.Next != nil || len(l.Resting) != 1 || len(l.Resting[0].Said) != 0 {
		t.Errorf("after another no: %+v", l)
	}
}

// TestANoDuringAPause: a session that arrives during a supervisor's pause may
// bring a no. Lifting it leaves the supervisor's pause.
func TestANoDuringAPause(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionPause, Reason: "holiday"}); err != nil {
		t.Fatal(err)
	}
	s.record(t, first, 3, "ad", func(d *recording.Document) { d.Header.EndedEarly = recording.Rev(1, recording.EndedDistress) })
	r := refused{s, first}
	if got := r.state(t); got != newel.AssignmentResting {
		t.Fatalf("it is %s", got)
	}
	s.now = s.now.Add(time.Minute)
	if err := r.decide(t, r.Supervisor, first, r.lifting(t)); err != nil || r.state(t) != newel.AssignmentPaused {
		t.Errorf("it is %s, %v", r.state(t), err)
	}
}

// TestTalksFromBefore: a talk that once started the program again says so, and
// what was said before it is about an earlier no.
func TestTalksFromBefore(t *testing.T) {
	t.Parallel()
	r := newRefused(t)
	p := r.progress(t, r.second)
	for _, line := range []string{"before", "now"} {
		if _, err := r.app.Talked(t.Context(), r.Home.Caregiver, app.TalkInput{ID: newel.NewID[newel.TalkID](), Assignment: p.Assignment.ID, Line: line, At: r.now}); err != nil {
			t.Fatal(err)
		}
		r.now = r.now.Add(time.Hour)
		if line == "before" {
			r.Exec(t, `insert into talk (clinic_id, family_id, id, assignment_id, made_by, talked_at, rests, lifted, received_at)
				values (@clinic, @family, gen_random_uuid(), @assignment, @by, @at, false, true, @at)`,
				pgx.NamedArgs{"family": r.Home.ID, "assignment": p.Assignment.ID, "by": r.Home.Caregiver.Account, "at": r.now.Add(-30 * time.Minute)})
		}
	}
	p = r.progress(t, r.second)
	if said := p.SaidSinceLifted(); len(p.Talks) != 3 || len(said) != 1 || said[0].Line != "now" {
		t.Errorf("%+v", p.Talks)
	}
	if l := r.day(t); len(l.Resting) != 1 || len(l.Resting[0].Said) != 1 || l.Resting[0].Said[0].Line != "now" {
		t.Errorf("%+v", l.Resting)
	}
}
