package criterion

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

// taughtBy is one session of a comparison of people.
type taughtBy struct {
	by              string
	correct, scored int
}

// differsPlainly applies the rule for differences word for word: it deals the
// sessions in every way that leaves as many of a person's sessions in the older
// half as there are, and counts the deals that differ as much.
func differsPlainly(list []taughtBy) bool {
	return slices.ContainsFunc([]string{"ana", "ben", "cem"}, func(who string) bool {
		return len(list) > 0 && apartPlainly(list[max(0, len(list)-10):], who) &&
			apartPlainly(list[max(0, len(list)-11):len(list)-1], who)
	})
}

func apartPlainly(list []taughtBy, who string) bool {
	n := len(list)
	var seen uint
	changes := 0
	for i, s := range list {
		if s.by == who {
			seen |= 1 << i
		}
		if i > 0 && (s.by == who) != (list[i-1].by == who) {
			changes++
		}
	}
	theirs := bits.OnesCount(seen)
	if theirs < 3 || n-theirs < 3 || changes == 1 {
		return false
	}
	difference := func(mask uint) float64 {
		var correct, scored [2]int
		for i, s := range list {
			side := int(mask >> i & 1)
			correct[side] += s.correct
			scored[side] += s.scored
		}
		d := 100*float64(correct[0])/float64(scored[0]) - 100*float64(correct[1])/float64(scored[1])
		return max(d, -d)
	}
	older := func(mask uint) (count int) {
		for i := range n / 2 {
			count += int(mask >> i & 1)
		}
		return count
	}
	if difference(seen) < 20-1e-9 {
		return false
	}
	var ways, asLarge int
	for mask := range uint(1) << n {
		if bits.OnesCount(mask) != theirs || older(mask) != older(seen) {
			continue
		}
		ways++
		if difference(mask) >= difference(seen)-1e-9 {
			asLarge++
		}
	}
	return asLarge*20 <= ways
}

// TestDiffersMatchesEveryDeal compares the rule with the plain one on cases
// near its limits.
func TestDiffersMatchesEveryDeal(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(14, 22))
	raised := 0
	for range 1500 {
		n := 6 + r.IntN(7)
		list, words := make([]taughtBy, n), make([]string, n)
		lead := r.IntN(8)
		for i := range list {
			s := taughtBy{by: []string{"ana", "ben", "ben", "cem", ""}[r.IntN(2+r.IntN(4))], scored: 8 + r.IntN(4)}
			s.correct = r.IntN(3)
			if s.by == "ben" {
				s.correct += lead
			}
			s.correct = min(s.correct, s.scored-1) // never correct in all: the criterion stays unmet
			list[i] = s
			words[i] = fmt.Sprintf("%d/%d by=%s", s.correct, s.scored, s.by)
		}
		reading := mustEvaluate(t, caseOf("100% independent in 3 sessions in a row", words...))
		_, got := reading.Flag(DiffersByPerson)
		want := differsPlainly(list)
		if got != want {
			t.Fatalf("%v: raised %t, want %t", list, got, want)
		}
		if want {
			raised++
		}
	}
	if raised < 100 || raised > 1400 {
		t.Errorf("%d of 1,500 cases differ: too one-sided to test anything", raised)
	}
}

// TestDiffersAtItsLimits checks single limits: three sessions of each, between
// each other, 20 points exactly, in either direction.
func TestDiffersAtItsLimits(t *testing.T) {
	t.Parallel()
	const a, b = "%d/10 by=ana", "%d/10 by=ben"
	for _, c := range []struct {
		name  string
		order string
		a, b  int
		want  bool
	}{
		{"in turn", "ababababab", 9, 4, true},
		{"the other is better", "ababababab", 4, 9, true},
		{"20 points", "ababababab", 7, 5, true},
		{"10 points", "ababababab", 6, 5, false},
		{"two sessions of one", "babbbbabbb", 9, 4, false},
		{"one wholly before the other", "aaaaabbbbb", 9, 4, false},
		{"one between two spells of the other", "aaabbbbaaa", 9, 4, true},
		{"six sessions: not enough without the latest", "ababab", 9, 4, false},
	} {
		words := make([]string, len(c.order))
		for i, who := range c.order {
			words[i] = fmt.Sprintf(map[rune]string{'a': a, 'b': b}[who], map[rune]int{'a': c.a, 'b': c.b}[who])
		}
		list := make([]taughtBy, len(c.order))
		for i, who := range c.order {
			list[i] = taughtBy{map[rune]string{'a': "ana", 'b': "ben"}[who], map[rune]int{'a': c.a, 'b': c.b}[who], 10}
		}
		reading := mustEvaluate(t, caseOf("100% independent in 3 sessions in a row", words...))
		_, got := reading.Flag(DiffersByPerson)
		if got != c.want || got != differsPlainly(list) {
			t.Errorf("%s: raised %t, want %t (plainly: %t)", c.name, got, c.want, differsPlainly(list))
		}
	}
}
