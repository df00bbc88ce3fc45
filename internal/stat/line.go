package stat

import (
	"math"
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
func SumOf(values []exact.Rat) exact.Rat {
	sum := exact.Rat{}
	for _, v := range values {
		sum = sum.Add(v)
	}
	return sum
}

// SquaresOf returns the sum of squared deviations from the mean.
func SquaresOf(values []exact.Rat) exact.Rat {
	mean, _ := MeanOf(values)
	sum := exact.Rat{}
	for _, v := range values {
		d := v.Sub(mean)
		sum = sum.Add(d.Mul(d))
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
	slopes := make([]exact.Rat, 0, len(y)*(len(y)-1)/2)
	for j := range y {
		for i := range j {
			slopes = append(slopes, y[j].Sub(y[i]).Quo(x[j].Sub(x[i])))
		}
	}
	return MedianOf(slopes)
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
	xx := SquaresOf(x)
	if len(x) < 2 || xx.Sign() == 0 {
		return Line{}, 0, false, false
	}
	mx, _ := MeanOf(x)
	my, _ := MeanOf(y)
	xy := exact.Rat{}
	for i := range x {
		xy = xy.Add(x[i].Sub(mx).Mul(y[i].Sub(my)))
	}
	l.Slope = xy.Quo(xx)
	l.Intercept = my.Sub(l.Slope.Mul(mx))
	yy := SquaresOf(y)
	if yy.Sign() == 0 {
		return l, 0, true, false
	}
	// The square is exact and at most 1, so its root is at most 1 as well.
	square := xy.Mul(xy).Quo(xx.Mul(yy)).Float64()
	return l, math.Copysign(math.Sqrt(square), float64(xy.Sign())), true, true
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
