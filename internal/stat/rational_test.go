package stat

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// TestBinomialBetween compares with values worked out by hand.
func TestBinomialBetween(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		n, low, high int
		p, want      *big.Rat
	}{
		{5, 4, 5, big.NewRat(3, 5), big.NewRat(1053, 3125)}, // 5·3⁴·2 + 3⁵ of 5⁵
		{3, 3, 3, big.NewRat(1, 2), big.NewRat(1, 8)},
		{3, 0, 3, big.NewRat(1, 7), big.NewRat(1, 1)},
		{3, 2, 1, big.NewRat(1, 2), new(big.Rat)},
		{3, 0, -1, big.NewRat(1, 2), new(big.Rat)},
		{2, 2, 2, new(big.Rat), new(big.Rat)},
		{2, 2, 2, big.NewRat(1, 1), big.NewRat(1, 1)},
	} {
		got := BinomialBetween(c.n, c.low, c.high, c.p)
		if new(big.Rat).SetFrac(got.Num, got.Den).Cmp(c.want) != 0 {
			t.Errorf("%d…%d of %d at %s: %s / %s, want %s", c.low, c.high, c.n, c.p, got.Num, got.Den, c.want)
		}
	}
}

// TestCompareWithin checks values at, just above and just below a limit that
// floats cannot tell apart.
func TestCompareWithin(t *testing.T) {
	t.Parallel()
	half := Fraction{big.NewInt(1), big.NewInt(2)}
	hits := NewWaiting(3, 0, nil).Hits(10)
	limit := big.NewRat(65, 128) // three heads in a row in ten fair tosses
	tiny := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(40), nil))
	for want, limit := range map[int]*big.Rat{
		0: limit, 1: new(big.Rat).Sub(limit, tiny), -1: new(big.Rat).Add(limit, tiny),
	} {
		if got := hits.CompareWithin(10, half, limit); got != want {
			t.Errorf("against %s: %d, want %d", limit, got, want)
		}
	}
}

// TestRationalAgreesWithFloats compares both ways of computing the same
// probability.
func TestRationalAgreesWithFloats(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 70).Draw(t, "trials")
		low := rapid.IntRange(0, n).Draw(t, "low")
		high := rapid.IntRange(low, n).Draw(t, "high")
		p := big.NewRat(rapid.Int64Range(0, 100).Draw(t, "percent"), 100)
		asFloat, _ := p.Float64()
		s := NewBinomial(n).Between(low, high, asFloat)
		exact := BinomialBetween(n, low, high, p)
		need := rapid.IntRange(1, 5).Draw(t, "need")
		hits := NewWaiting(need, 0, nil).Hits(10)
		within := hits.Within(s)[10]
		for side, by := range map[int]float64{1: -1e-9, -1: 1e-9} {
			limit := new(big.Rat).SetFloat64(within + by)
			if got := hits.CompareWithin(10, exact, limit); got != side {
				t.Fatalf("the float %v is off: %d", within, got)
			}
		}
	})
}
