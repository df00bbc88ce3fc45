package newel

import (
	"testing"
	"time"
)

func TestTrainingReaches(t *testing.T) {
	t.Parallel()
	order := []TrainingState{TrainingNone, TrainingRead, TrainingShown, TrainingPracticed, TrainingAlone}
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
	entries := []Training{entry(withPhone, TrainingPracticed, 5), entry(withPhone, TrainingShown, 3), entry(withPhone, TrainingNone, 9)}
	for _, c := range []struct {
		name string
		who  Person
		from TrainingState
		on   int
		want bool
	}{
		{"before anything", withPhone, TrainingRead, 1, true},
		{"shown, and that is enough", withPhone, TrainingShown, 4, false},
		{"shown, and that is not enough", withPhone, TrainingPracticed, 4, true},
		{"practised, a later entry of an earlier time changes nothing", withPhone, TrainingPracticed, 6, false},
		{"withdrawn", withPhone, TrainingRead, 10, true},
		{"without a phone: counts as having read", without, TrainingRead, 1, false},
		{"without a phone, and reading is not enough", without, TrainingShown, 1, true},
	} {
		if got := Untrained(entries, c.who, program, c.from, day(c.on)); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if got := TrainingOf(entries, withPhone, NewID[ProgramID]()); got != TrainingNone {
		t.Errorf("for a different program: %q", got)
	}
}
