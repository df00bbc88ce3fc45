package stat

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestBetaBelow(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x, n  int
		limit float64
		want  float64
	}{
		{0, 0, 0.25, 1.0 / 3}, // (2/π) asin ½
		{0, 0, 0.5, 0.5},
		{5, 10, 0.5, 0.5},
		{12, 15, 0.7, 1 - 0.7972767178000715}, // with the rules for evidence, computed independently
		{14, 20, 0.7, 1 - 0.48668861555911047},
		{2, 30, 0.3, 0.9991331913679855},
		{5000, 10_000, 0.5, 0.5}, // by symmetry, though ½ to the 5,000th underflows
		{7, 10, 0, 0},
		{7, 10, 1, 1},
		{0, 100000, 0.5, 1},
		{100000, 100000, 0.5, 0},
	} {
		near(t, "beta", BetaBelow(c.x, c.n, c.limit), c.want, 1e-12)
	}
}

// TestBetaBelowAgainstIntegral integrates the density over a fine grid in θ,
// where p = sin²θ and the density is smooth.
func TestBetaBelowAgainstIntegral(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 3000).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		limit := rapid.Float64Range(0.01, 0.99).Draw(t, "limit")
		most := 0.0
		if n > 0 {
			p := float64(x) / float64(n)
			for _, term := range [][2]float64{{float64(x), p}, {float64(n - x), 1 - p}} {
				if term[0] > 0 {
					most += term[0] * math.Log(term[1])
				}
			}
		}
		density := func(theta float64) float64 {
			sin, cos := math.Sincos(theta)
			log := -most
			if x > 0 {
				log += 2 * float64(x) * math.Log(sin)
			}
			if n > x {
				log += 2 * float64(n-x) * math.Log(cos)
			}
			return math.Exp(log)
		}
		edge := math.Asin(math.Sqrt(limit))
		below, above := simpson(density, 0, edge), simpson(density, edge, math.Pi/2)
		if want, got := below/(below+above), BetaBelow(x, n, limit); math.Abs(got-want) > 1e-8 { // Simpson’s rule is off by up to some 1e-9
			t.Fatalf("%d of %d below %v: %v, want %v", x, n, limit, got, want)
		}
	})
}

// simpson integrates by Simpson's rule.
func simpson(f func(float64) float64, from, to float64) float64 {
	const parts = 4000
	h := (to - from) / parts
	sum := f(from) + f(to)
	for i := 1; i < parts; i++ {
		sum += float64(2+2*(i%2)) * f(from+float64(i)*h)
	}
	return sum * h / 3
}
