// Package stat provides the statistics that status evaluation needs: binomial
// tails and intervals, pairwise trends, permutation tests over sessions,
// averages over an unknown accuracy, and waiting times for a window of
// successes. All functions are pure. Results that a decision depends on are
// computed exactly.
package stat

import (
	"math"
	"math/big"
)

// Z975 is the 97.5 % point of the standard normal distribution.
const Z975 = 1.959963984540054

// Wilson returns the Wilson score interval for x successes in n trials, without
// continuity correction, as proportions. ok is false if n is 0.
//
// Wilson 1927; in the form of Newcombe 1998, Statistics in Medicine 17:857–872.
func Wilson(x, n int, z float64) (low, high float64, ok bool) {
	if n <= 0 || x < 0 || x > n {
		return 0, 0, false
	}
	size, p, zz := float64(n), float64(x)/float64(n), z*z
	centre := (p + zz/(2*size)) / (1 + zz/size)
	half := z / (1 + zz/size) * math.Sqrt(p*(1-p)/size+zz/(4*size*size))
	low, high = max(0, centre-half), min(1, centre+half)
	if x == 0 { // exact, despite rounding above
		low = 0
	}
	if x == n {
		high = 1
	}
	return low, high, true
}

// LogChoose returns ln C(n, j) for j = 0 … n.
func LogChoose(n int) []float64 {
	table := make([]float64, n+1)
	whole, _ := math.Lgamma(float64(n) + 1)
	for j := range table {
		a, _ := math.Lgamma(float64(j) + 1)
		b, _ := math.Lgamma(float64(n-j) + 1)
		table[j] = whole - a - b
	}
	return table
}

// Binomial computes the probabilities of ranges of outcomes for a fixed number
// of trials. Build it once and query it for many success probabilities.
type Binomial struct {
	n         int
	logChoose []float64
	// choose holds the coefficients themselves as long as they are exact
	// floats.
	choose []float64
}

// exactTrials is the largest number of trials for which every binomial
// coefficient is below 2^53.
const exactTrials = 56

// NewBinomial returns a Binomial for n trials.
func NewBinomial(n int) *Binomial {
	b := &Binomial{n: n}
	if n > exactTrials {
		b.logChoose = LogChoose(n)
		return b
	}
	b.choose = make([]float64, n+1)
	c := 1.0
	for j := range b.choose {
		b.choose[j] = c
		c = c * float64(n-j) / float64(j+1)
	}
	return b
}

// Between returns P(low ≤ X ≤ high) for X ~ Binomial(n, p); 0 if the range is
// empty. Terms are added directly rather than subtracted from 1, so that small
// probabilities keep their precision.
func (b *Binomial) Between(low, high int, p float64) float64 {
	low, high = max(low, 0), min(high, b.n)
	if low > high {
		return 0
	}
	if low == 0 && high == b.n {
		return 1
	}
	if p <= 0 {
		return indicator(low == 0)
	}
	if p >= 1 {
		return indicator(high == b.n)
	}
	if b.choose != nil {
		return b.sumSmall(low, high, p)
	}
	return b.sumLogs(low, high, p)
}

func indicator(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func (b *Binomial) sumSmall(low, high int, p float64) float64 {
	var powers [exactTrials + 1]float64
	power := 1.0
	for j := 0; j <= b.n-low; j++ {
		powers[j] = power
		power *= 1 - p
	}
	power = math.Pow(p, float64(low))
	sum := 0.0
	for j := low; j <= high; j++ {
		sum += b.choose[j] * power * powers[b.n-j]
		power *= p
	}
	return min(sum, 1)
}

func (b *Binomial) sumLogs(low, high int, p float64) float64 {
	lp, lq := math.Log(p), math.Log1p(-p)
	sum := 0.0
	for j := low; j <= high; j++ {
		sum += math.Exp(b.logChoose[j] + float64(j)*lp + float64(b.n-j)*lq)
	}
	return min(sum, 1)
}

// GuessTailAtLeast reports whether P(X ≥ correct) ≥ num/den for X ~ Binomial(n,
// 1/choices), that is, whether guessing among that many choices would do at
// least as well with at least that probability. The comparison is exact.
func GuessTailAtLeast(n, choices, correct int, num, den int64) bool {
	// Σ_{j ≥ correct} C(n,j)(choices−1)^(n−j) · den ≥ num · choices^n
	sum, term := new(big.Int), big.NewInt(1) // term: C(n,j)(choices−1)^(n−j), from j = n down
	factor := new(big.Int)
	for j := n; j >= max(correct, 0); j-- {
		sum.Add(sum, term)
		term.Mul(term, factor.SetInt64(int64(j)))
		term.Mul(term, factor.SetInt64(int64(choices-1)))
		term.Quo(term, factor.SetInt64(int64(n-j+1)))
	}
	all := new(big.Int).Exp(big.NewInt(int64(choices)), big.NewInt(int64(n)), nil)
	return sum.Mul(sum, big.NewInt(den)).Cmp(all.Mul(all, big.NewInt(num))) >= 0
}
