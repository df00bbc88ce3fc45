package stat

import (
	"math/big"
	"slices"

	"newel/internal/exact"
)

// MedianOf returns the median, which for an even number of values is the mean
// of the middle two. ok is false if there are no values.
func MedianOf(values []exact.Rat) (median exact.Rat, ok bool) {
	if len(values) == 0 {
		return exact.Rat{}, false
	}
	sorted := slices.Clone(values)
	slices.SortFunc(sorted, exact.Rat.Cmp)
	middle := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[middle], true
	}
	return sorted[middle-1].Add(sorted[middle]).Quo(exact.Int(2)), true
}

// MeanOf returns the mean. ok is false if there are no values.
func MeanOf(values []exact.Rat) (mean exact.Rat, ok bool) {
	if len(values) == 0 {
		return exact.Rat{}, false
	}
	return SumOf(values).Quo(exact.Int(int64(len(values)))), true
}

// SumOf returns the sum.
func SumOf(values []exact.Rat) exact.Rat { return exact.Sum(values) }

// SquaresOf returns the sum of squared deviations from the mean, 0 without
// values.
func SquaresOf(values []exact.Rat) exact.Rat {
	if len(values) == 0 {
		return exact.Rat{}
	}
	whole, den := exact.Whole(values)
	n := big.NewInt(int64(len(values)))
	return exact.Quotient(codeviation(whole, whole), n.Mul(n, den.Mul(den, den)))
}

// codeviation returns n·Σxy − Σx·Σy, which is n times the sum of the products of
// the deviations from the means.
func codeviation(x, y []*big.Int) *big.Int {
	products, product := new(big.Int), new(big.Int)
	for i := range x {
		products.Add(products, product.Mul(x[i], y[i]))
	}
	products.Mul(products, big.NewInt(int64(len(x))))
	return products.Sub(products, product.Mul(sumOf(x), sumOf(y)))
}

func sumOf(values []*big.Int) *big.Int {
	sum := new(big.Int)
	for _, v := range values {
		sum.Add(sum, v)
	}
	return sum
}

// Line is y = Slope·x + Intercept.
type Line struct {
	Slope, Intercept exact.Rat
}

// TheilSenSlope returns the median of the slopes of all pairs of points (Theil
// 1950; Sen 1968). x must be strictly increasing. ok is false for fewer than
// two points.
func TheilSenSlope(x, y []exact.Rat) (slope exact.Rat, ok bool) {
	if len(y) < 2 {
		return exact.Rat{}, false
	}
	return medianSlope(x, y), true
}

// Residuals returns y − slope·x for each point.
func Residuals(x, y []exact.Rat, slope exact.Rat) []exact.Rat {
	out := make([]exact.Rat, len(y))
	for i := range y {
		out[i] = y[i].Sub(slope.Mul(x[i]))
	}
	return out
}

// TheilSen returns the line with the Theil–Sen slope whose intercept is the
// median of the residuals (the other convention in use takes the medians of x
// and y). ok is false for fewer than two points.
func TheilSen(x, y []exact.Rat) (l Line, ok bool) {
	if l.Slope, ok = TheilSenSlope(x, y); ok {
		l.Intercept, _ = MedianOf(Residuals(x, y, l.Slope))
	}
	return l, ok
}

// LeastSquares returns the least-squares line and Pearson's r. ok is false if
// there are fewer than two distinct x; hasR is also false if all y are equal.
func LeastSquares(x, y []exact.Rat) (l Line, r float64, ok, hasR bool) {
	if len(x) < 2 {
		return Line{}, 0, false, false
	}
	xs, xDen := exact.Whole(x)
	ys, yDen := exact.Whole(y)
	xx, xy, yy := codeviation(xs, xs), codeviation(xs, ys), codeviation(ys, ys)
	if xx.Sign() == 0 {
		return Line{}, 0, false, false
	}
	l.Slope = exact.Quotient(xy, xx).Mul(exact.Quotient(xDen, yDen))
	mx, _ := MeanOf(x)
	my, _ := MeanOf(y)
	l.Intercept = my.Sub(l.Slope.Mul(mx))
	if yy.Sign() == 0 {
		return l, 0, true, false
	}
	return l, correlation(xx, xy, yy), true, true
}

// correlation returns xy ÷ √(xx·yy), rounded to a float once.
func correlation(xx, xy, yy *big.Int) float64 {
	const precision = 256 // bits, far more than a float's 53
	of := func(n *big.Int) *big.Float { return new(big.Float).SetPrec(precision).SetInt(n) }
	r := of(xx)
	r.Sqrt(r.Mul(r, of(yy)))
	f, _ := r.Quo(of(xy), r).Float64()
	return f
}

// SplitMiddle returns the line through the median x and y of the first and the
// last half of the points (an odd middle point is dropped), shifted by the
// median of the residuals so that as many points are above as below (White and
// Haring 1980, recalled; the shift is not unique, this is one choice). x must
// be strictly increasing. ok is false for fewer than two points.
func SplitMiddle(x, y []exact.Rat) (l Line, ok bool) {
	half := len(y) / 2
	if half == 0 {
		return Line{}, false
	}
	x1, _ := MedianOf(x[:half])
	y1, _ := MedianOf(y[:half])
	x2, _ := MedianOf(x[len(x)-half:])
	y2, _ := MedianOf(y[len(y)-half:])
	l.Slope = y2.Sub(y1).Quo(x2.Sub(x1))
	l.Intercept, _ = MedianOf(Residuals(x, y, l.Slope))
	return l, true
}
