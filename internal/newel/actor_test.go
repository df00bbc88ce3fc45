package newel_test

import (
	"testing"

	"newel/internal/newel"
)

// TestScopeOfSeveralCapacities: the reach of one capacity does not extend a
// permission of another.
func TestScopeOfSeveralCapacities(t *testing.T) {
	t.Parallel()
	family := newel.NewID[newel.FamilyID]()
	for _, c := range []struct {
		name         string
		capacities   []newel.Capacity
		permission   newel.Permission
		staff, whole bool
	}{
		{"lead", []newel.Capacity{newel.Lead}, newel.SeeLearner, true, true},
		{"supervisor", []newel.Capacity{newel.Supervisor}, newel.SeeLearner, true, false},
		{"caregiver", []newel.Capacity{newel.Caregiver}, newel.TeachToday, false, false},
		{"office and supervisor, contacts", []newel.Capacity{newel.Office, newel.Supervisor}, newel.SeeFamilies, true, true},
		{"office and supervisor, notes", []newel.Capacity{newel.Office, newel.Supervisor}, newel.SeeLearner, true, false},
		{"administrator and trainee, notes", []newel.Capacity{newel.Administrator, newel.Trainee}, newel.SeeLearner, true, false},
		{"lead and parent, at home", []newel.Capacity{newel.Lead, newel.Caregiver}, newel.TeachToday, false, false},
		{"lead and parent, at work", []newel.Capacity{newel.Lead, newel.Caregiver}, newel.SeeLearner, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newel.Actor{Capacities: c.capacities, Families: []newel.FamilyID{family}}.Scope(c.permission)
			if s.Staff != c.staff || s.WholeClinic != c.whole || !s.Covers(family) || s.Covers(newel.NewID[newel.FamilyID]()) != c.whole {
				t.Errorf("scope %+v, want staff %v, whole clinic %v", s, c.staff, c.whole)
			}
		})
	}
}
