package stat

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestKendall(t *testing.T) {
	t.Parallel()
	rising := func(y []int) func(i, j int) int {
		return func(i, j int) int {
			switch {
			case y[j] > y[i]:
				return 1
			case y[j] < y[i]:
				return -1
			}
			return 0
		}
	}
	for _, c := range []struct {
		y []int
		s int
	}{
		{[]int{1, 2, 3, 4}, 6},
		{[]int{4, 3, 2, 1}, -6},
		{[]int{5, 5, 5}, 0},
		{[]int{1, 3, 2, 3}, 3}, // pairs: + + + − 0 +
		{[]int{7}, 0},
		{nil, 0},
	} {
		if got := KendallS(len(c.y), rising(c.y)); got != c.s {
			t.Errorf("%v: S %d, want %d", c.y, got, c.s)
		}
	}
	for _, c := range []struct {
		s, n int
		want bool
	}{
		{5, 8, true},   // 5/28 = 0.178…
		{6, 8, false},  // 6/28 = 0.214…
		{3, 6, false},  // 3/15 is 0.2 itself
		{2, 6, true},   // 2/15
		{0, 2, true},   // one pair is enough
		{-9, 1, false}, // no pairs, no tau
	} {
		if got := TauBelow(c.s, c.n, 1, 5); got != c.want {
			t.Errorf("S %d of %d below 0.2: %v", c.s, c.n, got)
		}
	}
}

// TestDeals uses counts made by hand. If one group is better throughout, only
// the observed split is as large, except with equal halves, where the mirror
// image is as large in the other direction.
func TestDeals(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		sessions       []Share
		mine           []bool
		early          int
		asLarge, total int
	}{
		"three of eight": {
			[]Share{{4, 5}, {5, 5}, {2, 5}, {5, 5}, {2, 5}, {4, 5}, {3, 5}, {5, 5}},
			[]bool{false, false, true, false, true, false, true, false},
			0, 1, 56,
		},
		// Within their halves, 4 ways of {0,1}×{2,3}; {0,2} and {1,3} are as large.
		"within halves": {[]Share{{5, 5}, {1, 5}, {5, 5}, {1, 5}}, []bool{true, false, true, false}, 2, 2, 4},
		"halves":        {[]Share{{5, 5}, {1, 5}, {5, 5}, {1, 5}}, []bool{true, false, true, false}, 0, 2, 6},
		"all even":      {[]Share{{3, 5}, {3, 5}, {3, 5}}, []bool{true, false, false}, 0, 3, 3},
		"none":          {[]Share{{3, 5}, {3, 5}}, []bool{false, false}, 0, 0, 0},
		"all":           {[]Share{{3, 5}, {3, 5}}, []bool{true, true}, 0, 0, 0},
		"no trial":      {[]Share{{3, 5}, {0, 0}}, []bool{true, false}, 0, 0, 0},
		"as many as can be": {
			append(slices.Repeat([]Share{{3, 5}}, MaxDealt-1), Share{5, 5}), append(make([]bool, MaxDealt-1), true),
			0, 1, MaxDealt,
		},
		"one more than can be":  {slices.Repeat([]Share{{3, 5}}, MaxDealt+1), append(make([]bool, MaxDealt), true), 0, 0, 0},
		"marks of another list": {[]Share{{3, 5}, {4, 5}}, []bool{true}, 0, 0, 0},
	} {
		asLarge, total := DealsAsLarge(c.sessions, c.mine, c.early)
		if asLarge != c.asLarge || total != c.total {
			t.Errorf("%s: %d of %d, want %d of %d", name, asLarge, total, c.asLarge, c.total)
		}
	}
}

// TestDealsProperties compares the count with plain recursion over subsets.
func TestDealsProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "n")
		sessions, mine, size := make([]Share, n), make([]bool, n), 0
		for i := range sessions {
			scored := rapid.IntRange(1, 12).Draw(t, "scored")
			sessions[i] = Share{rapid.IntRange(0, scored).Draw(t, "correct"), scored}
			mine[i] = rapid.Bool().Draw(t, "mine")
			if mine[i] {
				size++
			}
		}
		gap := func(set []bool) [2]int {
			var a, b Share
			for i, s := range sessions {
				if set[i] {
					a = Share{a.Correct + s.Correct, a.Scored + s.Scored}
				} else {
					b = Share{b.Correct + s.Correct, b.Scored + s.Scored}
				}
			}
			d := a.Correct*b.Scored - b.Correct*a.Scored
			return [2]int{max(d, -d), a.Scored * b.Scored}
		}
		early := rapid.IntRange(0, n).Draw(t, "early")
		asLarge, total := DealsAsLarge(sessions, mine, early)
		if size == 0 || size == n {
			if total != 0 {
				t.Fatal("no session was dealt")
			}
			return
		}
		inFirst := func(set []bool) (count int) {
			for _, is := range set[:early] {
				if is {
					count++
				}
			}
			return count
		}
		seen, wantLarge, wantTotal := gap(mine), 0, 0
		var walk func(set []bool, left int)
		walk = func(set []bool, left int) {
			if len(set) == n {
				if left == 0 && inFirst(set) == inFirst(mine) {
					wantTotal++
					if g := gap(set); g[0]*seen[1] >= seen[0]*g[1] {
						wantLarge++
					}
				}
				return
			}
			walk(append(set[:len(set):len(set)], false), left)
			if left > 0 {
				walk(append(set[:len(set):len(set)], true), left-1)
			}
		}
		walk(nil, size)
		if asLarge != wantLarge || total != wantTotal {
			t.Fatalf("%d of %d, want %d of %d", asLarge, total, wantLarge, wantTotal)
		}
	})
}

func BenchmarkDealsAsLarge(b *testing.B) {
	b.ReportAllocs()
	sessions, mine := make([]Share, 10), make([]bool, 10)
	for i := range sessions {
		sessions[i], mine[i] = Share{i, 20}, i%2 == 0
	}
	for b.Loop() {
		DealsAsLarge(sessions, mine, 0)
	}
}
