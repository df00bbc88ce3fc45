package exact

import (
	"math/big"
)

// Sum returns the sum of the values. It adds neighbors first: fractions with
// unrelated denominators make the denominator longer at every addition, and in
// a tree of sums only the last few are long.
func Sum(values []Rat) Rat {
	const few = 8
	if len(values) > few {
		middle := len(values) / 2
		return Sum(values[:middle]).Add(Sum(values[middle:]))
	}
	sum := Rat{}
	for _, v := range values {
		sum = sum.Add(v)
	}
	return sum
}

// Whole returns the values as whole numbers over their least common
// denominator: values[i] = whole[i] ÷ den. Decimals of at most MaxDigits digits
// yield whole numbers of at most twice as many. The whole numbers need no
// reducing to lowest terms, which is most of the cost of computing with Rats.
func Whole(values []Rat) (whole []*big.Int, den *big.Int) {
	den = big.NewInt(1)
	rest, quotient := new(big.Int), new(big.Int)
	for _, v := range values {
		d := v.read().Denom()
		if quotient.QuoRem(den, d, rest); rest.Sign() != 0 {
			g := new(big.Int).GCD(nil, nil, den, d)
			den.Mul(den, quotient.Quo(d, g))
		}
	}
	whole = make([]*big.Int, len(values))
	for i, v := range values {
		r := v.read()
		factor := new(big.Int).Quo(den, r.Denom())
		whole[i] = factor.Mul(factor, r.Num())
	}
	return whole, den
}

// Quotient returns n ÷ d. It panics when d is 0.
func Quotient(n, d *big.Int) Rat { return fromBig(new(big.Rat).SetFrac(n, d)) }
