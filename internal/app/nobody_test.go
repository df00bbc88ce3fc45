package app_test

import (
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/reading"
)

// TestNobodyMayStart checks that a step that no one in the family may start is
// on the caseload, that the row of the step before says so, and that training one
// person settles both.
func TestNobodyMayStart(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	s.SetCare(t, s.Home.Learner, newel.Care{Alerts: newel.Alerts{Asked: true}, StopSigns: "turns away"})
	d := fixture.WashingHands()
	d.Strands[0].Steps[1].StartFrom = newel.TrainingPracticed
	first := s.assigned(t, d)["b1"]
	row := func() reading.CaseloadItem {
		t.Helper()
		c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
		if err != nil {
			t.Fatal(err)
		}
		var all []reading.CaseloadItem
		_ = c.Shown(func(i *reading.CaseloadItem) error { all = append(all, *i); return nil })
		if len(all) != 1 {
			t.Fatalf("%d rows", len(all))
		}
		return all[0]
	}
	if i := row(); i.NobodyHere || !i.NobodyNext || i.Group == reading.GroupNobody {
		t.Errorf("before the step: here %v, next %v, group %q", i.NobodyHere, i.NobodyNext, i.Group)
	}
	if p, err := s.app.Progress(t.Context(), s.Supervisor, first); err != nil || !p.Row.NobodyNext || p.Row.NobodyHere {
		t.Errorf("its page: %+v, %v", p.Row, err)
	}
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "It goes well."}); err != nil {
		t.Fatal(err)
	}
	i := row()
	if !i.NobodyHere || i.Group != reading.GroupNobody {
		t.Errorf("on the step: here %v, group %q", i.NobodyHere, i.Group)
	}
	if p, err := s.app.Progress(t.Context(), s.Supervisor, i.PlacementID); err != nil || p.Group != reading.GroupNobody {
		t.Errorf("its page: group %q, %v", p.Group, err)
	}
	s.Exec(t, `insert into training (clinic_id, family_id, id, person_id, program_id, state, set_at) values (@clinic, @family, gen_random_uuid(), @person, @program, 'practised', now())`,
		pgx.NamedArgs{"family": s.Home.ID, "person": s.Home.Person, "program": i.ProgramID})
	if i := row(); i.NobodyHere || i.Group == reading.GroupNobody {
		t.Errorf("with training: here %v, group %q", i.NobodyHere, i.Group)
	}
}
