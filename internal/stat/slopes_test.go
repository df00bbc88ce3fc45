package stat

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

// hard generates series that defeat floats: ties, a line with a deviation in the
// 17th digit, and numbers that are large or of very different sizes.
func hard() *rapid.Generator[[]exact.Rat] {
	tiny, _ := exact.ParseJSON("1e-17")
	return rapid.Custom(func(t *rapid.T) []exact.Rat {
		kind := rapid.IntRange(0, 4).Draw(t, "kind")
		out := make([]exact.Rat, rapid.IntRange(2, 14).Draw(t, "n"))
		for i := range out {
			n := rapid.Int64Range(-9, 9).Draw(t, "value")
			switch kind {
			case 0:
				out[i] = exact.Int(n)
			case 1: // near a line
				out[i] = exact.Int(int64(i)).Add(exact.Int(n).Mul(tiny))
			case 2: // far apart
				out[i] = exact.Frac(n, 7)
				if rapid.Bool().Draw(t, "small") {
					out[i] = out[i].Mul(tiny)
				}
			case 3: // beyond 64 bits
				out[i] = exact.Quotient(new(big.Int).Exp(big.NewInt(17+n), big.NewInt(25), nil), big.NewInt(3))
			default: // beyond a float
				out[i] = exact.Quotient(new(big.Int).Exp(big.NewInt(7+n), big.NewInt(600), nil), big.NewInt(3))
			}
		}
		return out
	})
}

// TestTheilSenSlopeExactly compares with the median of all slopes, each computed
// exactly.
func TestTheilSenSlopeExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		y := hard().Draw(t, "y")
		x := make([]exact.Rat, len(y))
		for i := range x {
			x[i] = exact.Frac(rapid.Int64Range(int64(10*i), int64(10*i)+9).Draw(t, "x"), 3)
		}
		if rapid.Bool().Draw(t, "wide") { // beyond 64 bits
			for i := range x {
				x[i] = x[i].Mul(exact.Quotient(new(big.Int).Exp(big.NewInt(10), big.NewInt(25), nil), big.NewInt(1)))
			}
		}
		var all []exact.Rat
		for j := range y {
			for i := range j {
				all = append(all, y[j].Sub(y[i]).Quo(x[j].Sub(x[i])))
			}
		}
		want, _ := MedianOf(all)
		if got, ok := TheilSenSlope(x, y); !ok || !got.Equal(want) {
			t.Fatalf("%s, want %s", got, want)
		}
	})
}

// TestSplitMiddleByHand: the halves of 1, 2, 9, 4, 8 have their middles at
// (1.5, 1.5) and (4.5, 6), and the residuals from slope 1.5 have the median −½.
func TestSplitMiddleByHand(t *testing.T) {
	t.Parallel()
	ints := func(values ...int64) (out []exact.Rat) {
		for _, v := range values {
			out = append(out, exact.Int(v))
		}
		return out
	}
	for _, c := range []struct {
		x, y             []exact.Rat
		slope, intercept exact.Rat
	}{
		{ints(1, 2, 3, 4, 5), ints(1, 2, 9, 4, 8), exact.Frac(3, 2), exact.Frac(-1, 2)},
		{ints(0, 4), ints(3, 5), exact.Frac(1, 2), exact.Int(3)},
	} {
		if got, ok := SplitMiddle(c.x, c.y); !ok || !got.Slope.Equal(c.slope) || !got.Intercept.Equal(c.intercept) {
			t.Errorf("%v: %v %v", c.y, got, ok)
		}
	}
	if _, ok := SplitMiddle(ints(1), ints(1)); ok {
		t.Error("one point has a line")
	}
}

// TestPairsExactly compares ranks, overlap and Kendall's S with comparing every
// pair of values.
func TestPairsExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := hard().Draw(t, "a"), hard().Draw(t, "b")
		higher, equal, lower := Overlap(a, b)
		count := map[int]int{}
		for _, x := range a {
			for _, y := range b {
				count[y.Cmp(x)]++
			}
		}
		if higher != count[1] || equal != count[0] || lower != count[-1] {
			t.Fatalf("overlap %d %d %d, want %v", higher, equal, lower, count)
		}
		s, ranks := 0, Ranks(a)
		for j := range a {
			for i := range j {
				s += a[j].Cmp(a[i])
				if a[j].Less(a[i]) != (ranks[j] < ranks[i]) || a[j].Equal(a[i]) != (ranks[j] == ranks[i]) {
					t.Fatalf("ranks %v", ranks)
				}
			}
		}
		if got := Rising(a); got != s {
			t.Fatalf("S %d, want %d", got, s)
		}
	})
}

// TestLeastSquaresExactly compares with the definition, deviation by deviation.
func TestLeastSquaresExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		y := hard().Draw(t, "y")
		x := make([]exact.Rat, len(y))
		for i := range x {
			x[i] = exact.Frac(int64(i*i), 3)
		}
		mx, _ := MeanOf(x)
		my, _ := MeanOf(y)
		xx, xy, yy := exact.Rat{}, exact.Rat{}, exact.Rat{}
		for i := range x {
			dx, dy := x[i].Sub(mx), y[i].Sub(my)
			xx, xy, yy = xx.Add(dx.Mul(dx)), xy.Add(dx.Mul(dy)), yy.Add(dy.Mul(dy))
		}
		l, r, ok, hasR := LeastSquares(x, y)
		if !ok || !l.Slope.Equal(xy.Quo(xx)) || !l.Intercept.Equal(my.Sub(l.Slope.Mul(mx))) {
			t.Fatalf("%+v", l)
		}
		if !SquaresOf(y).Equal(yy) || hasR != (yy.Sign() != 0) {
			t.Fatalf("squares %s, want %s", SquaresOf(y), yy)
		}
		if !hasR {
			return
		}
		want := math.Sqrt(xy.Mul(xy).Quo(xx.Mul(yy)).Float64())
		if math.Abs(r) > 1 || math.Abs(math.Abs(r)-want) > 1e-15 || r*float64(xy.Sign()) < 0 {
			t.Fatalf("r %v, want ±%v", r, want)
		}
	})
}

// TestCorrelationRoundsOnce uses values whose square root, rounded twice, is one
// unit in the last place away.
func TestCorrelationRoundsOnce(t *testing.T) {
	t.Parallel()
	differs := 0
	for n := int64(2); n < 400; n++ {
		// xy ÷ √(xx·yy) is 1 ÷ √n.
		got := correlation(big.NewInt(n), big.NewInt(1), big.NewInt(1))
		twice := math.Sqrt(exact.Frac(1, n).Float64())
		if got != twice {
			differs++
		}
		if below, above := math.Nextafter(got, 0), math.Nextafter(got, 1); !nearest(got, below, above, n) {
			t.Fatalf("1 ÷ √%d is not nearest to %v", n, got)
		}
	}
	if differs == 0 {
		t.Error("rounding twice would have done")
	}
}

// nearest reports whether 1 ÷ √n is between the middles of got and its neighbors.
func nearest(got, below, above float64, n int64) bool {
	square := func(a, b float64) *big.Rat { // of the middle, times n
		m := new(big.Rat).SetFloat64(a)
		m.Add(m, new(big.Rat).SetFloat64(b)).Quo(m, big.NewRat(2, 1))
		return m.Mul(m.Mul(m, m), big.NewRat(n, 1))
	}
	one := big.NewRat(1, 1)
	return square(below, got).Cmp(one) <= 0 && square(got, above).Cmp(one) >= 0
}

// TestMedianSlopeNearALine checks lines that floats cannot tell from straight:
// at equal distances, all slopes are within the margin of each other, so that
// only the exact comparison finds the median among them.
func TestMedianSlopeNearALine(t *testing.T) {
	t.Parallel()
	tiny := exact.Quotient(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(17), nil))
	huge := exact.Quotient(new(big.Int).Exp(big.NewInt(10), big.NewInt(25), nil), big.NewInt(1))
	r := rand.New(rand.NewPCG(17, 50))
	for n := 2; n <= 12; n++ {
		for _, scale := range []struct{ x, y exact.Rat }{
			{exact.Int(1), exact.Int(1)}, {exact.Int(1), huge}, {huge, exact.Int(1)}, {huge, huge}, {exact.Int(1), exact.Int(-1)},
		} {
			for k := range 20 {
				var x, y, all []exact.Rat
				for i := range n {
					x = append(x, exact.Int(int64(i)).Mul(scale.x))
					y = append(y, exact.Int(int64(i)).Add(exact.Int(r.Int64N(9)).Mul(tiny)).Mul(scale.y))
				}
				// With a last value far off, the median is not in the middle of the
				// slopes that are near each other.
				y[n-1] = y[n-1].Add(exact.Int(int64(k%3-1) * 1000).Mul(scale.y))
				for j := range y {
					for i := range j {
						all = append(all, y[j].Sub(y[i]).Quo(x[j].Sub(x[i])))
					}
				}
				want, _ := MedianOf(all)
				if got, ok := TheilSenSlope(x, y); !ok || !got.Equal(want) {
					t.Fatalf("%v: %s, want %s", y, got, want)
				}
			}
		}
	}
}
