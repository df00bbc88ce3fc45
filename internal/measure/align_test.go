package measure

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/exact"
)

// score is what an alignment is judged by: the smaller first number wins, then
// the smaller second.
type score struct {
	major int
	minor exact.Rat
}

func (s score) compare(o score) int {
	if s.major != o.major {
		return s.major - o.major
	}
	return s.minor.Cmp(o.minor)
}

// best finds the best alignment by trying all of them, in the order in which
// equal ones are preferred: pair, leave over the first list's, leave over the
// second's. It also returns how many different sets of pairs are equally good.
func best(n, m int, fits func(Pair) bool, of func([]Pair) score) (first []Pair, equal int) {
	var least score
	var found [][]Pair
	var try func(i, j int, so []Pair)
	try = func(i, j int, so []Pair) {
		if i == n && j == m {
			s := of(so)
			switch c := s.compare(least); {
			case found == nil || c < 0:
				least, found = s, [][]Pair{slices.Clone(so)}
			case c == 0:
				found = append(found, slices.Clone(so))
			}
			return
		}
		if i < n && j < m && fits(Pair{i, j}) {
			try(i+1, j+1, append(so, Pair{i, j}))
		}
		if i < n {
			try(i+1, j, append(so, Pair{i, -1}))
		}
		if j < m {
			try(i, j+1, append(so, Pair{-1, j}))
		}
	}
	try(0, 0, nil)
	var sets [][]Pair
	for _, f := range found {
		if set := paired(f); !slices.ContainsFunc(sets, func(s []Pair) bool { return slices.Equal(s, set) }) {
			sets = append(sets, set)
		}
	}
	if len(found) == 0 {
		return []Pair{}, 1
	}
	return found[0], len(sets)
}

func paired(alignment []Pair) []Pair {
	return slices.DeleteFunc(slices.Clone(alignment), func(p Pair) bool { return p.First < 0 || p.Second < 0 })
}

// leftAndApart scores the left-over entries, then the sum of differences.
func leftAndApart(apart func(Pair) exact.Rat) func([]Pair) score {
	return func(alignment []Pair) score {
		pairs := paired(alignment)
		s := score{major: len(alignment) - len(pairs)}
		for _, p := range pairs {
			s.minor = s.minor.Add(apart(p))
		}
		return s
	}
}

// genObserved draws up to five trials. They have times only if timed.
func genObserved(t *rapid.T, name string, timed bool) []Observed {
	list := make([]Observed, rapid.IntRange(0, 5).Draw(t, name))
	for i := range list {
		list[i] = Observed{
			Code:   rapid.SampledFrom([]string{"+", "-", "p"}).Draw(t, "code"),
			Target: rapid.SampledFrom([]string{"", "cup", "cup", "spoon"}).Draw(t, "target"),
		}
		if timed {
			at := exact.Frac(rapid.Int64Range(-30, 300).Draw(t, "tenths"), 10)
			list[i].AtS = &at
		}
	}
	return list
}

// TestAlignmentIsBest compares the pairs with the best of all alignments,
// including the choice between equally good ones.
func TestAlignmentIsBest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		timed := rapid.Bool().Draw(t, "timed")
		a, b := genObserved(t, "first", timed), genObserved(t, "second", timed)
		apart := func(p Pair) exact.Rat { return a[p.First].AtS.Sub(*b[p.Second].AtS).Abs() }
		fits := func(p Pair) bool {
			one, other := a[p.First].Target, b[p.Second].Target
			return (one == other || one == "" || other == "") && (!timed || apart(p).Cmp(exact.Int(10)) <= 0)
		}
		of := leftAndApart(apart)
		if !timed {
			of = func(alignment []Pair) score {
				pairs := paired(alignment)
				left := len(alignment) - len(pairs)
				s := score{left, exact.Int(int64(left))}
				for _, p := range pairs {
					if a[p.First].Code != b[p.Second].Code {
						s.major++
					}
				}
				return s
			}
		}
		if len(a)+len(b) == 0 {
			return // nothing to pair by
		}
		want, equal := best(len(a), len(b), fits, of)
		got := AgreeOnTrials(a, b)
		if diff := cmp.Diff(want, got.Pairs); diff != "" {
			t.Fatalf("%v and %v:\n%s", a, b, diff)
		}
		mirrored(t, got, AgreeOnTrials(b, a), equal == 1 || !timed, equal == 1)
	})
}

// mirrored checks that swapping the observers swaps what each has left over. If
// there are several equally good alignments, swapping may choose another one:
// by order, that one has as many equal codes but perhaps other ones.
func mirrored(t *rapid.T, a, b TrialAgreement, sameShares, sameKappa bool) {
	if a.First != b.Second || a.Second != b.First {
		t.Fatalf("left over: %+v, swapped %+v", a.Unmatched, b.Unmatched)
	}
	if diff := cmp.Diff([]*float64{a.Trial, a.Paired}, []*float64{b.Trial, b.Paired}); sameShares && diff != "" {
		t.Fatalf("shares differ after swapping: %s", diff)
	}
	if diff := cmp.Diff(a.Kappa, b.Kappa); sameKappa && diff != "" {
		t.Fatalf("κ differs after swapping: %s", diff)
	}
}

// TestTimeLimit checks that trials exactly MaxApartS apart are one trial, and
// that those a millionth of a second farther apart are two.
func TestTimeLimit(t *testing.T) {
	t.Parallel()
	for at, want := range map[string][]Pair{"14.5": {{0, 0}}, "14.500001": {{0, -1}, {-1, 0}}} {
		got := AgreeOnTrials([]Observed{{Code: "+", AtS: seconds("4.5")}}, []Observed{{Code: "+", AtS: seconds(at)}})
		if diff := cmp.Diff(want, got.Pairs); diff != "" {
			t.Errorf("%s: %s", at, diff)
		}
	}
}

// TestPairJSON checks that the first trial is 0, and that no trial is null.
func TestPairJSON(t *testing.T) {
	t.Parallel()
	got, err := json.Marshal([]Pair{{0, 0}, {-1, 2}, {3, -1}})
	if want := "[[0,0],[null,2],[3,null]]"; err != nil || string(got) != want {
		t.Errorf("%s %v, want %s", got, err, want)
	}
}

// TestDurationAlignmentIsBest does the same for durations.
func TestDurationAlignmentIsBest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) []exact.Rat {
			list := make([]exact.Rat, rapid.IntRange(0, 5).Draw(t, name))
			for i := range list {
				list[i] = exact.Frac(rapid.Int64Range(0, 60).Draw(t, "quarters"), 4)
			}
			return list
		}
		a, b := draw("first"), draw("second")
		want := byNumber(len(a))
		if len(a) != len(b) {
			want, _ = best(len(a), len(b), func(Pair) bool { return true }, leftAndApart(func(p Pair) exact.Rat { return a[p.First].Sub(b[p.Second]).Abs() }))
		}
		if diff := cmp.Diff(want, durationPairs(a, b)); diff != "" {
			t.Fatalf("%v and %v:\n%s", a, b, diff)
		}
		one, other := AgreeOnDurations(a, b), AgreeOnDurations(b, a)
		if one.First != other.Second || one.Second != other.First || cmp.Diff(one.Total, other.Total) != "" {
			t.Fatalf("%+v, swapped %+v", one, other)
		}
	})
}

// TestAlignmentProperties checks what holds for every pair of records: every
// trial is listed once, in order; an observer agrees fully with themselves; and
// shares are between 0 and 100.
func TestAlignmentProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		by := rapid.SampledFrom([]Matching{ByKey, ByTime, ByOrder}).Draw(t, "by")
		a, b := genObserved(t, "first", by == ByTime), genObserved(t, "second", by == ByTime)
		if by == ByKey {
			for _, list := range [][]Observed{a, b} {
				for i, key := range rapid.Permutation([]string{"1", "2", "3", "4", "5"}).Draw(t, "keys")[:len(list)] {
					list[i].Key = key
				}
			}
		}
		if len(a)+len(b) > 0 && MatchingOf(a, b) != by {
			t.Fatalf("matched by %s, want %s", MatchingOf(a, b), by)
		}
		got := AgreeOnTrials(a, b)
		var first, second []int
		for _, p := range got.Pairs {
			if p.First >= 0 {
				first = append(first, p.First)
			}
			if p.Second >= 0 {
				second = append(second, p.Second)
			}
		}
		if by == ByKey {
			slices.Sort(second) // in the order of the first
		}
		for name, c := range map[string]struct{ got, n int }{"first": {len(first), len(a)}, "second": {len(second), len(b)}} {
			if c.got != c.n {
				t.Fatalf("%s: %d of %d listed", name, c.got, c.n)
			}
		}
		if !slices.IsSorted(first) || !slices.IsSorted(second) {
			t.Fatalf("pairs cross: %v", got.Pairs)
		}
		if len(got.Pairs) != got.First+got.Second+len(paired(got.Pairs)) {
			t.Fatalf("%+v", got)
		}
		for _, share := range []*float64{got.Trial, got.Paired} {
			if share != nil && (*share < 0 || *share > 100) {
				t.Fatalf("%v%%", *share)
			}
		}
		if len(a) == 0 {
			return
		}
		self := AgreeOnTrials(a, a)
		if *self.Trial != 100 || *self.Paired != 100 || self.Kappa != nil && *self.Kappa != 1 || self.First+self.Second != 0 {
			t.Fatalf("an observer does not agree with themselves: %+v", self)
		}
	})
}

// BenchmarkAlign aligns two lists of the greatest length with long decimals.
func BenchmarkAlign(b *testing.B) {
	list := make([]Observed, MaxAligned)
	for i := range list {
		at := exact.Frac(int64(i)*1_000_003+7, 999_983)
		list[i] = Observed{Code: "+", AtS: &at}
	}
	for b.Loop() {
		AgreeOnTrials(list, list[1:])
	}
}
