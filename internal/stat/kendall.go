package stat

import (
	"math"
	"slices"

	"newel/internal/exact"
)

// sign is Kendall's comparison of two values: 1 when later is higher than
// earlier, -1 when lower, 0 for a tie.
func sign(earlier, later exact.Rat) int { return later.Cmp(earlier) }

// Rising returns the higher pairs minus the lower pairs of all (earlier, later)
// pairs: Kendall's S of the values against their order.
func Rising(y []exact.Rat) int {
	return KendallS(len(y), func(i, j int) int { return sign(y[i], y[j]) })
}

// Overlap counts the pairs of one value of a and one of b: in how many b is
// higher, equal, lower.
func Overlap(a, b []exact.Rat) (higher, equal, lower int) {
	for _, x := range a {
		for _, y := range b {
			switch sign(x, y) {
			case 1:
				higher++
			case 0:
				equal++
			default:
				lower++
			}
		}
	}
	return higher, equal, lower
}

// Ties returns how many values share each value that is there, in rising order.
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

// VarS is the variance of S where there is no trend:
// [n(n−1)(2n+5) − Σ t(t−1)(2t+5)] ÷ 18 over groups of t equal values (Mann 1945;
// Kendall; as in EPA QA/G-9S, seen in a page that quotes it).
func VarS(groups []int) exact.Rat {
	term := func(n int) int64 { m := int64(n); return m * (m - 1) * (2*m + 5) }
	n, ties := 0, int64(0)
	for _, t := range groups {
		n += t
		ties += term(t)
	}
	return exact.Frac(term(n)-ties, 18)
}

// TrendZ is S with continuity correction ÷ √Var S: (S∓1)/√Var, and 0 where S
// is 0.
func TrendZ(s int, varS exact.Rat) float64 {
	if s == 0 || varS.Sign() == 0 {
		return 0
	}
	corrected := s - 1
	if s < 0 {
		corrected = s + 1
	}
	return float64(corrected) / math.Sqrt(varS.Float64())
}

// TwoSided is the probability that a standard normal variable lies at least as
// far from 0 as z.
func TwoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// MaxPermuted is the most values whose orders AtLeastAsFar counts.
const MaxPermuted = 20

// OrdersByS counts the orders of values in groups of equal ones by their S: the
// number of different orders with each S, from the lowest S up in steps of two,
// and that lowest S. There are at most MaxPermuted values; nil otherwise.
//
// An order's inversions k give S = (pairs that are not tied) − 2k, and the
// orders are counted by inversions through the Gaussian multinomial
// coefficient (MacMahon; recalled, not looked up; tests hold it against plain
// enumeration).
func OrdersByS(groups []int) (counts []int64, lowest int) {
	n, untied := 0, 0
	counts = []int64{1}
	for _, t := range groups {
		if n+t > MaxPermuted {
			return nil, 0
		}
		untied += n * t
		// Times the Gaussian coefficient (n+t choose t).
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

// divideByOneMinus divides a polynomial by 1 − q^k, of which it is a multiple.
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

// AtLeastAsFar is the share of the orders of the values whose S lies at least as
// far from 0 as s: the exact two-sided p of a trend, ties kept. ok is false
// beyond MaxPermuted values and for fewer than two.
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
