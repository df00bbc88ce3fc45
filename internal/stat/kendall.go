package stat

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"newel/internal/exact"
)

// Ranks returns the place of each value among the distinct values, from 0 for
// the lowest. Comparing ranks is the same as comparing values, and cheaper.
func Ranks(values []exact.Rat) []int {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return values[i].Cmp(values[j]) })
	ranks, rank := make([]int, len(values)), 0
	for k, i := range order {
		if k > 0 && !values[i].Equal(values[order[k-1]]) {
			rank++
		}
		ranks[i] = rank
	}
	return ranks
}

// Rising returns the number of rising minus falling (earlier, later) pairs,
// which is Kendall's S of the values against their order.
func Rising(y []exact.Rat) int {
	ranks := Ranks(y)
	return KendallS(len(y), func(i, j int) int { return cmp.Compare(ranks[j], ranks[i]) })
}

// Overlap compares each value of a with each value of b and returns in how many
// pairs b is higher, equal and lower.
func Overlap(a, b []exact.Rat) (higher, equal, lower int) {
	sorted := slices.SortedFunc(slices.Values(b), exact.Rat.Cmp)
	for _, x := range a {
		below, level := Below(sorted, x)
		lower += below
		equal += level
		higher += len(sorted) - below - level
	}
	return higher, equal, lower
}

// Below returns how many of the sorted values are less than v and how many are
// equal to it.
func Below(sorted []exact.Rat, v exact.Rat) (below, equal int) {
	below, found := slices.BinarySearchFunc(sorted, v, exact.Rat.Cmp)
	if found {
		rest := sorted[below:]
		equal = sort.Search(len(rest), func(i int) bool { return v.Less(rest[i]) })
	}
	return below, equal
}

// Ties returns the size of each group of equal values, in increasing order of
// value.
func Ties(y []exact.Rat) []int {
	sorted := slices.Clone(y)
	slices.SortFunc(sorted, exact.Rat.Cmp)
	var groups []int
	for i, v := range sorted {
		if i > 0 && v.Equal(sorted[i-1]) {
			groups[len(groups)-1]++
		} else {
			groups = append(groups, 1)
		}
	}
	return groups
}

// VarS returns the variance of S under no trend: [n(n−1)(2n+5) − Σ
// t(t−1)(2t+5)] ÷ 18 over groups of t equal values (Mann 1945; Kendall; as in
// EPA QA/G-9S, seen in a page that quotes it).
func VarS(groups []int) exact.Rat {
	term := func(n int) int64 { m := int64(n); return m * (m - 1) * (2*m + 5) }
	n, ties := 0, int64(0)
	for _, t := range groups {
		n += t
		ties += term(t)
	}
	return exact.Frac(term(n)-ties, 18)
}

// TrendZ returns S with continuity correction divided by √Var S: (S∓1)/√Var, or
// 0 if S is 0.
func TrendZ(s int, varS exact.Rat) float64 {
	if s == 0 || varS.Sign() == 0 {
		return 0
	}
	corrected := s - cmp.Compare(s, 0)
	return float64(corrected) / math.Sqrt(varS.Float64())
}

// TwoSided returns the probability that a standard normal variable is at least
// as far from 0 as z.
func TwoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// MaxPermuted is the largest number of values whose orders AtLeastAsFar counts.
const MaxPermuted = 20

// OrdersByS returns how many distinct orders of the values have each S, from
// the lowest S up in steps of two, and that lowest S. groups holds the sizes of
// the groups of equal values. It returns nil for more than MaxPermuted values.
//
// An order with k inversions has S = (untied pairs) − 2k. Orders are counted by
// inversions through the Gaussian multinomial coefficient (MacMahon; recalled,
// not looked up; tests compare it with plain enumeration).
func OrdersByS(groups []int) (counts []int64, lowest int) {
	n, untied := 0, 0
	counts = []int64{1}
	for _, t := range groups {
		if n+t > MaxPermuted {
			return nil, 0
		}
		untied += n * t
		// Multiply by the Gaussian coefficient (n+t choose t).
		for i := 1; i <= t; i++ {
			counts = divideByOneMinus(timesOneMinus(counts, n+i), i)
		}
		n += t
	}
	return counts, -untied
}

// timesOneMinus multiplies a polynomial by 1 − q^k.
func timesOneMinus(p []int64, k int) []int64 {
	out := make([]int64, len(p)+k)
	copy(out, p)
	for i, c := range p {
		out[i+k] -= c
	}
	return out
}

// divideByOneMinus divides a polynomial by 1 − q^k, which must divide it
// evenly.
func divideByOneMinus(p []int64, k int) []int64 {
	out := make([]int64, len(p)-k)
	for i := range out {
		out[i] = p[i]
		if i >= k {
			out[i] += out[i-k]
		}
	}
	return out
}

// AtLeastAsFar returns the share of the orders of the values whose S is at
// least as far from 0 as s: the exact two-sided p value of a trend, given the
// ties. ok is false for more than MaxPermuted values and for fewer than two.
func AtLeastAsFar(s int, groups []int) (p exact.Rat, ok bool) {
	n := 0
	for _, t := range groups {
		n += t
	}
	counts, lowest := OrdersByS(groups)
	if n < 2 || counts == nil {
		return exact.Rat{}, false
	}
	far, all := int64(0), int64(0)
	for i, c := range counts {
		all += c
		if of := lowest + 2*i; max(of, -of) >= max(s, -s) {
			far += c
		}
	}
	return exact.Frac(far, all), true
}
