package reading

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// flagged returns the gist of a met step with a flag, or without any.
func flagged(kind criterion.FlagKind) *newel.Gist {
	g := &newel.Gist{Status: criterion.StatusMet}
	if kind != "" {
		g.Flags = []criterion.Flag{{Kind: kind}}
	}
	return g
}

func TestCheckDue(t *testing.T) {
	t.Parallel()
	day := func(n int) newel.Day { return newel.NewDay(2026, 3, 1).AddDays(n) } // learned on day 0
	none := newel.Day{}
	weeks := []int{1, 2, 4, 8}
	for _, c := range []struct {
		name  string
		s     newel.LearnedCheck
		today int
		want  newel.Day
		need  CheckNeed
	}{
		{name: "before the first", s: newel.LearnedCheck{Weeks: weeks}, today: 6},
		{name: "on the first day", s: newel.LearnedCheck{Weeks: weeks}, today: 7, want: day(7)},
		{name: "no weeks", s: newel.LearnedCheck{}, today: 100},
		{name: "a week later", s: newel.LearnedCheck{Weeks: weeks}, today: 14, want: day(7)},
		{name: "longer than a week", s: newel.LearnedCheck{Weeks: weeks}, today: 15, want: day(7), need: CheckOverdue},
		{name: "done on the day", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(7), Gist: flagged("")}, today: 13},
		{name: "done late, which is also the second", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(14)}, today: 27},
		{name: "a check before its day does not do it", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(6)}, today: 8, want: day(7)},
		{name: "the next after one that was done", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(8)}, today: 20, want: day(14)},
		{name: "after the last", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(56)}, today: 400},
		{name: "weeks in any order", s: newel.LearnedCheck{Weeks: []int{4, 1}}, today: 40, want: day(7), need: CheckOverdue},

		{name: "not met, the next day", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(7), Gist: flagged(criterion.CheckAgain)}, today: 8, need: CheckMissed},
		{name: "not met, two days later", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(7), Gist: flagged(criterion.CheckAgain)}, today: 9, want: day(9), need: CheckMissed},
		{name: "not met after the last week", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(57), Gist: flagged(criterion.CheckAgain)}, today: 60, want: day(59), need: CheckMissed},
		{name: "not met twice waits for a person", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(9), Gist: flagged(criterion.Slipping)}, today: 13, need: CheckMissedTwice},
		{name: "not met twice, then the next week", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(9), Gist: flagged(criterion.Slipping)}, today: 14, want: day(14), need: CheckMissedTwice},
		{name: "the child ended it", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(7), CheckedNo: true, Gist: flagged("")}, today: 8, need: CheckSaidNo},

		{name: "planned by hand", s: newel.LearnedCheck{Planned: newel.PlanCheck, PlannedOn: day(30), PlanOpen: true}, today: 31, want: day(30)},
		{name: "planned by hand, and done", s: newel.LearnedCheck{Planned: newel.PlanCheck, PlannedOn: day(30), CheckedOn: day(31)}, today: 40},
		{name: "planned again on the day of a check", s: newel.LearnedCheck{CheckedOn: day(30), Planned: newel.PlanCheck, PlannedOn: day(30), PlanOpen: true, Gist: flagged(criterion.Slipping)}, today: 30, want: day(30)},
		{name: "planned while one is due", s: newel.LearnedCheck{Weeks: weeks, Planned: newel.PlanCheck, PlannedOn: day(10), PlanOpen: true}, today: 10, want: day(7)},
		{name: "no more checks", s: newel.LearnedCheck{Weeks: weeks, CheckedOn: day(9), Gist: flagged(criterion.Slipping), Planned: newel.PlanNone, PlannedOn: day(10), PlanOpen: true}, today: 60},
	} {
		c.s.LearnedOn = day(0)
		got := CheckDue(c.s, day(c.today))
		if got != c.want && (!got.IsZero() || c.want != none) {
			t.Errorf("%s: due since %s, want %s", c.name, got, c.want)
		}
		if need := CheckNeeds(c.s, day(c.today)); need != c.need {
			t.Errorf("%s: needs %q, want %q", c.name, need, c.need)
		}
	}
}
