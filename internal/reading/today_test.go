package reading

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
)

// trialsOf returns trials by their letters: a without help, h with help, n not
// yet, d said no.
func trialsOf(letters string) []criterion.Trial {
	var out []criterion.Trial
	for _, letter := range letters {
		t := criterion.Trial{Outcome: measure.Correct}
		switch letter {
		case 'h':
			t.Help = "point"
		case 'n':
			t.Outcome = measure.Incorrect
		case 'd':
			t.Outcome = measure.Declined
		}
		out = append(out, t)
	}
	return out
}

func TestFactOf(t *testing.T) {
	t.Parallel()
	today := newel.NewDay(2026, 3, 12)
	one, two := newel.NewID[newel.PlacementID](), newel.NewID[newel.PlacementID]()
	session := func(at newel.PlacementID, day int, letters string) newel.DaySession {
		s := newel.DaySession{PlacementID: at, LocalDate: newel.NewDay(2026, 3, day)}
		s.Of.Trials = trialsOf(letters)
		return s
	}
	learned := func(days ...int) (out []newel.LearnedStep) {
		for _, d := range days {
			out = append(out, newel.LearnedStep{On: newel.NewDay(2026, 3, d)})
		}
		return out
	}
	for _, c := range []struct {
		name     string
		sessions []newel.DaySession
		learned  []newel.LearnedStep
		want     string // kind, first and last day
	}{
		{name: "no records"},
		{name: "help, then none", sessions: []newel.DaySession{session(one, 2, "hhn"), session(one, 11, "ah")}, want: "help 2026-03-02 2026-03-11"},
		{name: "the same day", sessions: []newel.DaySession{session(one, 11, "hhn"), session(one, 11, "aa")}},
		{name: "without help from the start", sessions: []newel.DaySession{session(one, 2, "a"), session(one, 11, "aa")}},
		{name: "only said no at first", sessions: []newel.DaySession{session(one, 2, "dd"), session(one, 11, "aa")}},
		{name: "with help again since", sessions: []newel.DaySession{session(one, 2, "h"), session(one, 6, "a"), session(one, 11, "h")}, want: "help 2026-03-02 2026-03-06"},
		{name: "help, and none long ago", sessions: []newel.DaySession{session(one, 1, "h"), session(one, 2, "a")}},
		{name: "two steps of which each has one half", sessions: []newel.DaySession{session(one, 2, "h"), session(two, 11, "a")}},
		{name: "two steps learned", learned: learned(3, 10), want: "learned 2026-03-03 2026-03-10"},
		{name: "one step learned", learned: learned(10)},
		{name: "two on one day", learned: learned(10, 10)},
		{name: "long ago", learned: learned(1, 2)},
		{
			name: "the newest wins", learned: learned(3, 10), sessions: []newel.DaySession{session(one, 2, "h"), session(one, 11, "a")},
			want: "help 2026-03-02 2026-03-11",
		},
	} {
		got := ""
		if f := FactOf(c.sessions, c.learned, today); f != nil {
			got = f.Kind + " " + f.WasOn.String() + " " + f.NowOn.String()
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
