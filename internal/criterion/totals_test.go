package criterion

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func breakdownInShort(b *Breakdown) string {
	if b == nil {
		return "none"
	}
	var parts []string
	for _, p := range b.Parts {
		parts = append(parts, fmt.Sprintf("%s %d: %d/%d", p.Name, p.Sessions, p.Correct, p.Trials))
	}
	return fmt.Sprintf("%s to %s, %s (%s)", b.From, b.To, strings.Join(parts, ", "), strings.Join(b.Sessions, " "))
}

func TestTotals(t *testing.T) {
	t.Parallel()
	var twelve []string
	for range 6 {
		twelve = append(twelve, "6/10 by=ana", "4/10 by=ben")
	}
	for _, c := range []struct {
		name, criterion string
		sessions        []string
		people, places  string
	}{
		{
			"the latest ten", "", twelve,
			"2026-03-03 to 2026-03-12, ana 5: 30/50, ben 5: 20/50 (" + span(3, 12) + ")", "none",
		},
		{
			"the empty name comes last", "",
			[]string{"7/10 by=ana", "5/10", "6/10"},
			"2026-03-01 to 2026-03-03, ana 1: 7/10,  2: 11/20 (s1 s2 s3)", "none",
		},
		{
			"most sessions first", "",
			[]string{"7/10 by=ana", "5/10 by=ben", "6/10 by=ben"},
			"2026-03-01 to 2026-03-03, ben 2: 11/20, ana 1: 7/10 (s1 s2 s3)", "none",
		},
		{
			"places among those with one", "",
			[]string{"5/10 place=home", "6/10", "7/10 place=park"},
			"2026-03-01 to 2026-03-03,  3: 18/30 (s1 s2 s3)", "2026-03-01 to 2026-03-03, home 1: 5/10, park 1: 7/10 (s1 s3)",
		},
		{
			"met, with later sessions", "80% in 1 session",
			[]string{"9/10 by=ana", "1/10 by=ben"},
			"2026-03-01 to 2026-03-02, ana 1: 9/10, ben 1: 1/10 (s1 s2)", "none",
		},
		{"since the planned help changed", "", []string{"9/10 plan=model", "5/10"}, "2026-03-02 to 2026-03-02,  1: 5/10 (s2)", "none"},
		{"correct as the criterion has it", "80% with help up to model in 3 sessions", []string{"5/10 with=model*2"}, "2026-03-01 to 2026-03-01,  1: 7/10 (s1)", "none"},
		{"nothing in the stretch", "", []string{"5/10 kind=probe"}, "none", "none"},
		{"errors", "at most 1 error in 3 sessions", []string{"5/10 by=ana"}, "none", "none"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if c.criterion == "" {
				c.criterion = "80% in 3 sessions"
			}
			got := mustEvaluate(t, caseOf(c.criterion, c.sessions...)).Totals
			if got == nil {
				got = &Totals{}
			}
			if people, places := breakdownInShort(got.People), breakdownInShort(got.Places); people != c.people || places != c.places {
				t.Errorf("\n got %s; %s\nwant %s; %s", people, places, c.people, c.places)
			}
		})
	}
}

// TestTotalsDates: the dates are the least and the greatest, not those of the
// first and the last session.
func TestTotalsDates(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 3 sessions", "5/10", "5/10", "5/10")
	c.Sessions[2].LocalDate = Date{2026, 2, 27}
	if b := mustEvaluate(t, c).Totals.People; b.From != c.Sessions[2].LocalDate || b.To != (Date{2026, 3, 2}) {
		t.Errorf("%s to %s", b.From, b.To)
	}
}

// TestTotalsAreThoseOfTheFlags checks that the flags for differences rest on
// the sessions that the totals divide, and that the parts add up.
func TestTotalsAreThoseOfTheFlags(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := mustEvaluate(t, anyCase().Draw(t, "case"))
		if r.Totals == nil {
			return
		}
		for kind, b := range map[FlagKind]*Breakdown{DiffersByPerson: r.Totals.People, DiffersByPlace: r.Totals.Places} {
			if f, raised := r.Flag(kind); raised && strings.Join(f.Sessions, " ") != strings.Join(b.Sessions, " ") {
				t.Fatalf("%s rests on %v, the totals on %v", kind, f.Sessions, b.Sessions)
			}
			if b == nil {
				continue
			}
			sessions := 0
			for _, p := range b.Parts {
				sessions += p.Sessions
			}
			if sessions != len(b.Sessions) || sessions > 10 || b.To.day() < b.From.day() {
				t.Fatalf("%s", breakdownInShort(b))
			}
		}
	})
}
