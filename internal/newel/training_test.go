package newel

import (
	"testing"
	"time"
)

func TestTrainingReaches(t *testing.T) {
	t.Parallel()
	order := []TrainingState{NotTrained, Read, Shown, Practised, Alone}
	for i, a := range order {
		for j, b := range order {
			if got, want := a.Reaches(b), i >= j; got != want {
				t.Errorf("%q reaches %q: %v, want %v", a, b, got, want)
			}
		}
	}
}

// TestUntrained: the latest entry at the session's start counts, even if it
// lowers the state.
func TestUntrained(t *testing.T) {
	t.Parallel()
	account := NewID[AccountID]()
	withPhone, without := Person{ID: NewID[PersonID](), Account: &account}, Person{ID: NewID[PersonID]()}
	program := NewID[ProgramID]()
	day := func(n int) time.Time { return time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC) }
	entry := func(p Person, s TrainingState, n int) Training {
		return Training{ID: NewID[TrainingID](), PersonID: p.ID, ProgramID: program, State: s, SetAt: day(n)}
	}
	entries := []Training{entry(withPhone, Practised, 5), entry(withPhone, Shown, 3), entry(withPhone, NotTrained, 9)}
	for _, c := range []struct {
		name string
		who  Person
		from TrainingState
		on   int
		want bool
	}{
		{"before anything", withPhone, Read, 1, true},
		{"shown, and that is enough", withPhone, Shown, 4, false},
		{"shown, and that is not enough", withPhone, Practised, 4, true},
		{"practised, a later entry of an earlier time changes nothing", withPhone, Practised, 6, false},
		{"withdrawn", withPhone, Read, 10, true},
		{"without a phone: counts as having read", without, Read, 1, false},
		{"without a phone, and reading is not enough", without, Shown, 1, true},
	} {
		if got := Untrained(entries, c.who, program, c.from, day(c.on)); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if got := TrainingOf(entries, withPhone, NewID[ProgramID]()); got != NotTrained {
		t.Errorf("for a different program: %q", got)
	}
}
