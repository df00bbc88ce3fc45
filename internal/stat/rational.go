package stat

import "math/big"

// Fraction is a probability as a numerator and a denominator that need not be
// in lowest terms: reducing large ones costs more than comparing them.
type Fraction struct{ Num, Den *big.Int }

// BinomialBetween returns P(low ≤ X ≤ high) for X ~ Binomial(n, p) exactly; 0
// if the range is empty. p is from 0 to 1.
func BinomialBetween(n, low, high int, p *big.Rat) Fraction {
	success, all := p.Num(), p.Denom()
	failure := new(big.Int).Sub(all, success)
	sum, whole := new(big.Int), new(big.Int).Exp(all, big.NewInt(int64(n)), nil)
	low, high = max(low, 0), min(high, n)
	switch {
	case low > high:
	case low == 0 && high == n, failure.Sign() == 0 && high == n:
		sum.Set(whole)
	case failure.Sign() == 0:
	default:
		// C(n,j) successʲ failureⁿ⁻ʲ, each from the one before
		term, factor := new(big.Int).Exp(failure, big.NewInt(int64(n)), nil), new(big.Int)
		for j := 0; j <= high; j++ {
			if j >= low {
				sum.Add(sum, term)
			}
			term.Mul(term, success)
			term.Mul(term, factor.SetInt64(int64(n-j)))
			term.Quo(term, factor.Mul(failure, factor.SetInt64(int64(j+1))))
		}
	}
	return Fraction{sum, whole}
}

// CompareWithin returns 1, 0 or -1 as the probability of meeting the window
// within n sessions, each of which succeeds with probability s, is more than,
// equal to or less than the limit. The comparison is exact for up to 50
// sessions, whose counts are exact floats.
func (c Counts) CompareWithin(n int, s Fraction, limit *big.Rat) int {
	failure := new(big.Int).Sub(s.Den, s.Num)
	power := func(of *big.Int, e int) *big.Int { return new(big.Int).Exp(of, big.NewInt(int64(e)), nil) }
	sum := new(big.Int)
	for length := 1; length <= n; length++ {
		met := new(big.Int)
		for j, count := range c[length] {
			if count == 0 {
				continue
			}
			term := new(big.Int).Mul(big.NewInt(int64(count)), power(s.Num, j))
			met.Add(met, term.Mul(term, power(failure, length-j)))
		}
		sum.Add(sum, met.Mul(met, power(s.Den, n-length)))
	}
	sum.Mul(sum, limit.Denom())
	all := power(s.Den, n)
	return sum.Cmp(all.Mul(all, limit.Num()))
}
