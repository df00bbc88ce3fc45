package app_test

import (
	"slices"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// ofKind sets the kind of a session.
func ofKind(kind recording.Kind) func(*recording.Document) {
	return func(d *recording.Document) { d.Header.Kind = recording.Rev(1, kind) }
}

// checks lists the checks of the only learner's day.
func (s *schoolhouse) checks(t testing.TB) []program.DayCheck {
	t.Helper()
	day, err := s.app.PhoneDay(t.Context(), s.Home.Caregiver, app.PhoneReport{})
	if err != nil || len(day.Learners) != 1 {
		t.Fatalf("%d learners, %v", len(day.Learners), err)
	}
	for _, c := range day.Learners[0].Checks {
		if !slices.ContainsFunc(day.Kits, func(k program.DayKit) bool { return k.Kit.Placement == c.Placement }) {
			t.Errorf("no kit for the check of %s", c.Step)
		}
	}
	return day.Learners[0].Checks
}

// learned returns a placement that was met and left by an advance at s.now, in
// a program with checks in weeks 1 and 4.
func (s *schoolhouse) learned(t testing.TB) newel.PlacementID {
	t.Helper()
	d := fixture.WashingHands()
	d.MaintenanceWeeks = []int{1, 4}
	d.Strands[0].Steps[0].Criterion = "80% independent in 2 sessions in a row"
	placement := s.assigned(t, d)["b1"]
	s.record(t, placement, 4, "aaaaa", ofKind(recording.Teaching))
	s.record(t, placement, 2, "aaaaa", ofKind(recording.Teaching))
	if err := s.decide(t, s.Supervisor, placement, app.DecisionInput{Kind: newel.DecisionAdvance}); err != nil {
		t.Fatal(err)
	}
	return placement
}

// TestChecksFallDue follows a learned step through its checks: on the phone a
// week later, again two days after one that was not met, and then not until the
// next planned week. The sessions count for the placement that has ended.
func TestChecksFallDue(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.learned(t)
	began := newel.DayOf(s.now, time.UTC)
	later := func(days int) { s.now = s.now.AddDate(0, 0, days) }

	later(6)
	if c := s.checks(t); len(c) != 0 {
		t.Fatalf("due before its week: %+v", c)
	}
	later(1)
	c := s.checks(t)
	if len(c) != 1 || c[0].Placement != placement || c[0].Learned != began || c[0].Since != began.AddDays(7) || c[0].Trials == 0 {
		t.Fatalf("a week later: %+v", c)
	}

	s.record(t, placement, 1, "nnnna", ofKind(recording.Maintenance))
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("due although it was done: %+v", c)
	}
	p := s.progress(t, placement)
	if _, ok := flagOf(p.Said, criterion.CheckAgain); !ok || p.Said.Status != criterion.StatusMet {
		t.Errorf("after a check that was not met: %+v", p.Said)
	}
	later(2)
	if c := s.checks(t); len(c) != 1 {
		t.Fatalf("two days after one that was not met: %+v", c)
	}
	s.record(t, placement, 1, "nnnna", ofKind(recording.Maintenance))
	later(5)
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("due although a person decides after two: %+v", c)
	}
	if _, ok := flagOf(s.progress(t, placement).Said, criterion.Slipping); !ok {
		t.Error("two checks that were not met raise nothing")
	}
	later(14)
	if c := s.checks(t); len(c) != 1 || c[0].Since != began.AddDays(28) {
		t.Errorf("in week 4: %+v", c)
	}
	s.record(t, placement, 1, "aaaaa", ofKind(recording.Maintenance))
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("after the last: %+v", c)
	}
	if f := s.progress(t, placement).Said.Flags; len(f) != 0 {
		t.Errorf("flags after a check that was met: %+v", f)
	}
	s.verified(t)
}

func flagOf(r criterion.Reading, kind criterion.FlagKind) (criterion.Flag, bool) {
	for _, f := range r.Flags {
		if f.Kind == kind {
			return f, true
		}
	}
	return criterion.Flag{}, false
}

// TestNoCheckOfWhatIsTaughtAgain checks that a step is not checked while the
// learner has gone back to it, or while its program is paused.
func TestNoCheckOfWhatIsTaughtAgain(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	s.learned(t)
	s.now = s.now.AddDate(0, 0, 8)
	if len(s.checks(t)) != 1 {
		t.Fatal("no check is due")
	}
	day, err := s.app.PhoneDay(t.Context(), s.Home.Caregiver, app.PhoneReport{})
	if err != nil || day.Learners[0].Next == nil {
		t.Fatal(err)
	}
	next := day.Learners[0].Next.Placement
	if err := s.decide(t, s.Supervisor, next, app.DecisionInput{Kind: newel.DecisionPause, Reason: "They are away."}); err != nil {
		t.Fatal(err)
	}
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("due while the program is paused: %+v", c)
	}
	after := s.progress(t, next).Latest()
	if err := s.decide(t, s.Supervisor, next, app.DecisionInput{Kind: newel.DecisionResume, After: after}); err != nil {
		t.Fatal(err)
	}
	if len(s.checks(t)) != 1 {
		t.Error("no check is due after the pause")
	}
	after = s.progress(t, next).Latest()
	if err := s.decide(t, s.Supervisor, next, app.DecisionInput{Kind: newel.DecisionStepBack, To: "b1", Reason: "It is lost.", After: after}); err != nil {
		t.Fatal(err)
	}
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("due although the step is taught again: %+v", c)
	}
}

// TestDaySaysWhichKindIsNext checks that the day plans a step's baseline and
// probes from the sessions so far.
func TestDaySaysWhichKindIsNext(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	d.Strands[0].Steps[0].Baseline, d.Strands[0].Steps[0].ProbeEvery = 2, 3
	placement := s.assigned(t, d)["b1"]
	next := func(want ...criterion.Kind) {
		t.Helper()
		day, err := s.app.PhoneDay(t.Context(), s.Home.Caregiver, app.PhoneReport{})
		if err != nil || day.Learners[0].Next == nil {
			t.Fatal(err)
		}
		if got := day.Learners[0].Next.Kinds; !slices.Equal(got[:min(len(got), len(want))], want) {
			t.Errorf("%v, want %v first", got, want)
		}
	}
	const base, teach, probe = criterion.Baseline, criterion.Teaching, criterion.Probe
	next(base, base, teach, teach, probe, teach)
	s.record(t, placement, 12, "aan", ofKind(recording.Baseline))
	next(base, teach, teach, probe)
	s.record(t, placement, 10, "aan", ofKind(recording.Baseline))
	s.record(t, placement, 8, "aanaa", ofKind(recording.Teaching))
	next(teach, probe, teach)
	s.record(t, placement, 6, "aanaa", ofKind(recording.Teaching))
	s.record(t, placement, 4, "aanaa", ofKind(recording.Teaching)) // a probe was due
	next(probe, teach, teach, probe)
	s.record(t, placement, 2, "aan", ofKind(recording.Probe))
	next(teach, teach, probe)
}
