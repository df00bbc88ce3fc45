package app_test

import (
	"errors"
	"slices"
	"testing"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/recording"
)

func (s *schoolhouse) plan(t testing.TB, placement newel.PlacementID, kind newel.PlannedKind) {
	t.Helper()
	if _, err := s.app.PlanSession(t.Context(), s.Supervisor, app.NewForm(), placement, kind); err != nil {
		t.Fatal(err)
	}
}

// needs returns why learned steps stand on the supervisor's caseload.
func (s *schoolhouse) needs(t testing.TB) (needs []reading.CheckNeed) {
	t.Helper()
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range c.Checks {
		needs = append(needs, i.Need)
	}
	return needs
}

// TestPlannedSessionIsNext checks that a planned probe is the next session on
// the phone until one has been recorded, that it can be taken back, and that
// both stay on the page with their author.
func TestPlannedSessionIsNext(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.assigned(t, fixture.WashingHands())["b1"]
	next := func(want criterion.Kind) {
		t.Helper()
		day, err := s.app.PhoneDay(t.Context(), s.Home.Caregiver, app.PhoneReport{})
		if err != nil || day.Learners[0].Next == nil {
			t.Fatal(err)
		}
		if got := day.Learners[0].Next.Kinds[0]; got != want {
			t.Errorf("next is %s, want %s", got, want)
		}
	}
	next(criterion.Teaching)
	s.plan(t, placement, newel.PlanBaseline)
	next(criterion.Baseline)
	s.plan(t, placement, newel.PlanUsual)
	next(criterion.Teaching)
	s.now = s.now.AddDate(0, 0, 1)
	s.plan(t, placement, newel.PlanProbe)
	next(criterion.Probe)
	s.now = s.now.AddDate(0, 0, 1)
	s.record(t, placement, 3, "aana", ofKind(recording.Teaching))
	next(criterion.Probe)
	s.record(t, placement, 1, "aana", ofKind(recording.Probe))
	next(criterion.Teaching)

	p := s.progress(t, placement)
	if len(p.Planned) != 3 || p.Planned[0].Kind != newel.PlanProbe || p.Planned[0].PlannedByName == "" {
		t.Errorf("plans: %+v", p.Planned)
	}
	for _, kind := range []newel.PlannedKind{newel.PlanNone, newel.PlanCheck, "", "teaching"} {
		var invalid *newel.Invalid
		if _, err := s.app.PlanSession(t.Context(), s.Supervisor, app.NewForm(), placement, kind); !errors.As(err, &invalid) {
			t.Errorf("%q planned for an open step that is not met: %v", kind, err)
		}
	}
	if _, err := s.app.PlanSession(t.Context(), s.Home.Caregiver, app.NewForm(), placement, newel.PlanProbe); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("planned by a caregiver: %v", err)
	}
}

// TestChecksStandOnTheCaseload checks that a check that is long due, and checks
// that were not met, stay on the caseload until a check is met or the
// supervisor plans what comes next.
func TestChecksStandOnTheCaseload(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.learned(t)
	later := func(days int) { s.now = s.now.AddDate(0, 0, days) }
	expect := func(when string, want ...reading.CheckNeed) {
		t.Helper()
		if got := s.needs(t); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", when, got, want)
		}
	}
	later(14)
	expect("a week overdue")
	later(1)
	expect("more than a week overdue", reading.CheckOverdue)
	s.record(t, placement, 1, "nnnna", ofKind(recording.Maintenance))
	expect("not met", reading.CheckMissed)
	later(2)
	s.record(t, placement, 1, "nnnna", ofKind(recording.Maintenance))
	expect("not met twice", reading.CheckMissedTwice)
	s.plan(t, placement, newel.PlanCheck)
	expect("with another one planned")
	if c := s.checks(t); len(c) != 1 {
		t.Errorf("the planned check is not due: %+v", c)
	}
	later(1)
	s.record(t, placement, 1, "nnnna", ofKind(recording.Maintenance))
	expect("not met again", reading.CheckMissedTwice)
	s.plan(t, placement, newel.PlanNone)
	later(60)
	expect("no more checks")
	if c := s.checks(t); len(c) != 0 {
		t.Errorf("due although no more are planned: %+v", c)
	}
	s.plan(t, placement, newel.PlanCheck)
	s.record(t, placement, 0, "aaaaa", ofKind(recording.Maintenance))
	expect("met")
	s.verified(t)
}

// TestNoInCheckStandsOnTheCaseload checks that a child's no in the check of a
// step whose program is finished is not lost.
func TestNoInCheckStandsOnTheCaseload(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.learned(t)
	s.now = s.now.AddDate(0, 0, 7)
	if _, err := s.DB.Bypass.Exec(t.Context(), `update assignment set state = 'finished' where family_id = $1`, s.Home.ID); err != nil {
		t.Fatal(err)
	}
	s.record(t, placement, 1, "ad", func(d *recording.Document) {
		ofKind(recording.Maintenance)(d)
		d.Header.EndedEarly = recording.Rev(1, recording.EndedDistress)
	})
	if got := s.needs(t); !slices.Equal(got, []reading.CheckNeed{reading.CheckSaidNo}) {
		t.Errorf("after a no: %v", got)
	}
	s.plan(t, placement, newel.PlanUsual)
	if got := s.needs(t); len(got) != 0 {
		t.Errorf("after the supervisor's answer: %v", got)
	}
}
