package criterion

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestIdleMatchesItsWords counts days one by one: idle is raised when the dates
// after the last session, or after the placement began if that is later, and
// before today, that lie in no pause, are as many as the rule asks for.
func TestIdleMatchesItsWords(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := caseOf("80% in 3 sessions", "5/10", "5/10")
		lastDay := firstDay.AddDate(0, 0, 1)
		date := func(day int) Date { return DateOf(lastDay.AddDate(0, 0, day), time.UTC) }
		base := 0
		if rapid.Bool().Draw(t, "began") {
			began := rapid.IntRange(-3, 5).Draw(t, "began on")
			c.StartedOn, base = date(began), max(0, began)
		}
		enough := rapid.IntRange(1, 10).Draw(t, "days")
		c.Rules.IdleDays = &enough
		paused := map[int]bool{}
		for range rapid.IntRange(0, 4).Draw(t, "pauses") {
			from := rapid.IntRange(-2, 15).Draw(t, "from")
			to := from + rapid.IntRange(0, 4).Draw(t, "length")
			c.Pauses = append(c.Pauses, Pause{date(from), date(to)})
			for day := from; day <= to; day++ {
				paused[day] = true
			}
		}
		free := func(today int) (n int) {
			for day := base + 1; day < today; day++ {
				if !paused[day] {
					n++
				}
			}
			return n
		}
		first := base
		for free(first) < enough {
			first++
		}
		if got := *mustEvaluate(t, c).IdleFrom; got != date(first) {
			t.Fatalf("idle from %s, want %s", got, date(first))
		}
		today := rapid.IntRange(0, 45).Draw(t, "today")
		c.AsOf = lastDay.AddDate(0, 0, today)
		r := mustEvaluate(t, c)
		raised := slices.ContainsFunc(r.Flags, func(f Flag) bool { return f.Kind == Idle })
		if want := free(today) >= enough; raised != want {
			t.Fatalf("after %d days: raised %t, want %t", today, raised, want)
		}
	})
}

// TestIdleAroundPauses checks pauses that touch the days that are counted: the
// last session is on March 2, and the 7 days after it end on March 9.
func TestIdleAroundPauses(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name     string
		from, to int // of March
		want     int
	}{
		{"before the days", 1, 2, 10},
		{"only the first day", 3, 3, 11},
		{"in the middle", 5, 7, 13},
		{"only the last day", 9, 9, 11},
		{"from the day on which it is raised", 10, 20, 10},
	} {
		c := caseOf("80% in 3 sessions", "5/10", "5/10")
		c.Pauses = []Pause{{Date{2026, 3, test.from}, Date{2026, 3, test.to}}}
		if got := *mustEvaluate(t, c).IdleFrom; got != (Date{2026, 3, test.want}) {
			t.Errorf("%s: idle from %s, want March %d", test.name, got, test.want)
		}
	}
}
