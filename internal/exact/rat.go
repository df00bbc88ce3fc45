// Package exact provides exact rational numbers with a fast path for small
// ones.
//
// Percentages, rates and seconds decide whether a criterion is met, so none of
// them may pass through a float: 8 of 9 is not 88.9 %. A Rat is immutable and
// does not allocate while its numerator and denominator fit in 64 bits; beyond
// that it falls back to math/big.
package exact

import (
	"math"
	"math/big"
	"math/bits"
)

// Rat is an immutable exact rational number. The zero value is 0.
type Rat struct {
	// num/den in lowest terms with den > 0. A den of 0 means 1, which makes the
	// zero value 0. Unused when wide is set.
	num, den int64
	wide     *big.Rat
}

// Int returns the whole number n.
func Int(n int64) Rat {
	if n == math.MinInt64 { // its absolute value does not fit in an int64
		return Rat{wide: new(big.Rat).SetInt64(n)}
	}
	return Rat{num: n, den: 1}
}

// Frac returns n/d in lowest terms. It panics when d is 0.
func Frac(n, d int64) Rat {
	if d == 0 {
		panic("exact: division by zero")
	}
	if n == math.MinInt64 || d == math.MinInt64 {
		return fromBig(new(big.Rat).SetFrac64(n, d))
	}
	if d < 0 {
		n, d = -n, -d
	}
	g := gcd(magnitude(n), uint64(d))
	return Rat{num: n / int64(g), den: d / int64(g)}
}

// fromBig takes ownership of r and uses the small form if it fits.
func fromBig(r *big.Rat) Rat {
	if r.Num().IsInt64() && r.Denom().IsInt64() {
		n := r.Num().Int64()
		if n != math.MinInt64 {
			return Rat{num: n, den: r.Denom().Int64()}
		}
	}
	return Rat{wide: r}
}

func (a Rat) small() (num, den int64) {
	if a.den == 0 {
		return a.num, 1
	}
	return a.num, a.den
}

// Big returns a as a new big.Rat.
func (a Rat) Big() *big.Rat {
	if a.wide != nil {
		return new(big.Rat).Set(a.wide)
	}
	return big.NewRat(a.small())
}

// read returns a as a big.Rat that must not be changed.
func (a Rat) read() *big.Rat {
	if a.wide != nil {
		return a.wide
	}
	return big.NewRat(a.small())
}

// Add returns a + b.
func (a Rat) Add(b Rat) Rat {
	if a.wide == nil && b.wide == nil {
		an, ad := a.small()
		bn, bd := b.small()
		if ad == bd {
			if n, ok := addInt(an, bn); ok {
				return Frac(n, ad)
			}
		}
		x, ok1 := mulInt(an, bd)
		y, ok2 := mulInt(bn, ad)
		d, ok3 := mulInt(ad, bd)
		if n, ok := addInt(x, y); ok && ok1 && ok2 && ok3 {
			return Frac(n, d)
		}
	}
	return fromBig(new(big.Rat).Add(a.read(), b.read()))
}

// Neg returns -a.
func (a Rat) Neg() Rat {
	if a.wide == nil {
		n, d := a.small()
		return Rat{num: -n, den: d}
	}
	return fromBig(new(big.Rat).Neg(a.wide))
}

// Sub returns a - b.
func (a Rat) Sub(b Rat) Rat { return a.Add(b.Neg()) }

// Mul returns a × b.
func (a Rat) Mul(b Rat) Rat {
	if a.wide == nil && b.wide == nil {
		an, ad := a.small()
		bn, bd := b.small()
		n, ok1 := mulInt(an, bn)
		d, ok2 := mulInt(ad, bd)
		if ok1 && ok2 {
			return Frac(n, d)
		}
	}
	return fromBig(new(big.Rat).Mul(a.read(), b.read()))
}

// Quo returns a ÷ b. It panics when b is 0.
func (a Rat) Quo(b Rat) Rat {
	if b.Sign() == 0 {
		panic("exact: division by zero")
	}
	if b.wide == nil {
		bn, bd := b.small()
		return a.Mul(Frac(bd, bn))
	}
	return a.Mul(fromBig(new(big.Rat).Inv(b.wide)))
}

// Sign returns -1, 0 or 1.
func (a Rat) Sign() int {
	if a.wide != nil {
		return a.wide.Sign()
	}
	switch {
	case a.num < 0:
		return -1
	case a.num > 0:
		return 1
	}
	return 0
}

// Cmp returns -1, 0 or 1 as a is less than, equal to or greater than b.
func (a Rat) Cmp(b Rat) int {
	if a.wide != nil || b.wide != nil {
		return a.read().Cmp(b.read())
	}
	sa, sb := a.Sign(), b.Sign()
	if sa != sb {
		if sa < sb {
			return -1
		}
		return 1
	}
	an, ad := a.small()
	bn, bd := b.small()
	if ad == bd {
		return sa * cmpUint(0, magnitude(an), 0, magnitude(bn))
	}
	ah, al := bits.Mul64(magnitude(an), uint64(bd))
	bh, bl := bits.Mul64(magnitude(bn), uint64(ad))
	return sa * cmpUint(ah, al, bh, bl)
}

// Less reports whether a < b.
func (a Rat) Less(b Rat) bool { return a.Cmp(b) < 0 }

// Equal reports whether a and b are the same number.
func (a Rat) Equal(b Rat) bool { return a.Cmp(b) == 0 }

// Abs returns the absolute value of a.
func (a Rat) Abs() Rat {
	if a.Sign() < 0 {
		return a.Neg()
	}
	return a
}

// Float64 returns the float nearest a.
func (a Rat) Float64() float64 {
	if a.wide == nil {
		n, d := a.small()
		// Both exact as floats: one correctly rounded division.
		if magnitude(n) <= 1<<53 && d <= 1<<53 {
			return float64(n) / float64(d)
		}
	}
	f, _ := a.read().Float64()
	return f
}

// Int64 returns a as an int64. ok is false if a is not whole or does not fit.
func (a Rat) Int64() (n int64, ok bool) {
	if a.wide != nil {
		return 0, false
	}
	n, d := a.small()
	return n, d == 1
}

// IsInt reports whether a is a whole number.
func (a Rat) IsInt() bool {
	if a.wide != nil {
		return a.wide.IsInt()
	}
	_, d := a.small()
	return d == 1
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}

func cmpUint(ah, al, bh, bl uint64) int {
	switch {
	case ah < bh || ah == bh && al < bl:
		return -1
	case ah == bh && al == bl:
		return 0
	}
	return 1
}

func addInt(a, b int64) (int64, bool) {
	s := a + b
	return s, (s > a) == (b > 0) && s != math.MinInt64
}

func mulInt(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
