package stat

import "math"

// BetaBelow returns P(p ≤ limit), 0 ≤ limit ≤ 1, for p ~ Beta(x + ½, n − x + ½),
// the posterior for an accuracy after x correct of n under Jeffreys' prior. It
// is the regularized incomplete beta function, whose neighbors differ by one
// term each (DLMF 8.17.20 and 8.17.21, recalled):
//
//	I(a+1, b) = I(a, b) − D(a, b)/a,  I(a, b+1) = I(a, b) + D(a, b)/b,
//	D(a, b) = pᵃ(1−p)ᵇ / B(a, b)
//
// The walk starts from I(½, ½) = (2/π) asin √p. It keeps a ÷ (a + b) near p for
// as long as it can, where D is largest, so that no term is lost to underflow
// before it matters.
func BetaBelow(x, n int, limit float64) float64 {
	a, b := 0.5, 0.5
	below, d := 2/math.Pi*math.Asin(math.Sqrt(limit)), math.Sqrt(limit*(1-limit))/math.Pi
	for correct, wrong := x, n-x; correct > 0 || wrong > 0; {
		if wrong == 0 || correct > 0 && a < limit*(a+b) {
			below -= d / a
			d *= limit * (a + b) / a
			a++
			correct--
		} else {
			below += d / b
			d *= (1 - limit) * (a + b) / b
			b++
			wrong--
		}
	}
	return min(1, max(0, below))
}
