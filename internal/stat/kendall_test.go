package stat

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

// TestOrdersByEnumeration compares the counts with every permutation.
func TestOrdersByEnumeration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var y []exact.Rat
		for range rapid.IntRange(2, 6).Draw(t, "n") {
			y = append(y, exact.Int(rapid.Int64Range(1, 4).Draw(t, "value")))
		}
		s, far, all := Rising(y), int64(0), int64(0)
		permute(y, 0, func() {
			all++
			if of := Rising(y); max(of, -of) >= max(s, -s) {
				far++
			}
		})
		if got, ok := AtLeastAsFar(s, Ties(y)); !ok || !got.Equal(exact.Frac(far, all)) {
			t.Fatalf("%v of %v", got, exact.Frac(far, all))
		}
	})
	if _, ok := AtLeastAsFar(0, []int{1}); ok {
		t.Error("one value has a p")
	}
	if counts, _ := OrdersByS(slices.Repeat([]int{1}, MaxPermuted+1)); counts != nil {
		t.Error("more values than can be counted")
	}
	// 20! orders still fit in an int64.
	counts, lowest := OrdersByS(slices.Repeat([]int{1}, MaxPermuted))
	if lowest != -190 || len(counts) != 191 || counts[0] != 1 || counts[190] != 1 || counts[1] != 19 {
		t.Errorf("lowest %d, %d counts", lowest, len(counts))
	}
}

func permute(y []exact.Rat, from int, visit func()) {
	if from == len(y) {
		visit()
		return
	}
	for i := from; i < len(y); i++ {
		y[from], y[i] = y[i], y[from]
		permute(y, from+1, visit)
		y[from], y[i] = y[i], y[from]
	}
}

// TestTrendPublished uses a published example of the Mann–Kendall test with ties
// (S 22, variance 155.33, z 1.685), with more digits computed independently;
// internal/verification has more rows.
func TestTrendPublished(t *testing.T) {
	t.Parallel()
	var y []exact.Rat
	for _, v := range []int64{10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15} {
		y = append(y, exact.Int(v))
	}
	if got, want := Ties(y), []int{1, 4, 2, 1, 1, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("ties %v, want %v", got, want)
	}
	s, varS := Rising(y), VarS(Ties(y))
	if s != 22 || !varS.Equal(exact.Frac(466, 3)) {
		t.Errorf("S %d, variance %s", s, varS)
	}
	near(t, "z", TrendZ(s, varS), 1.6849498, 5e-8)
	near(t, "z of the opposite", TrendZ(-s, varS), -1.6849498, 5e-8)
	near(t, "z of no trend", TrendZ(0, varS), 0, 0)
	near(t, "z of one rank", TrendZ(1, varS), 0, 0)
	near(t, "z without variance", TrendZ(3, exact.Rat{}), 0, 0)
	near(t, "p", TwoSided(TrendZ(s, varS)), 0.09199826, 5e-9)
	near(t, "p of the opposite", TwoSided(-1.6849498), 0.09199826, 5e-9)
	near(t, "p of nothing", TwoSided(0), 1, 0)
	near(t, "p at the usual limit", TwoSided(Z975), 0.05, 1e-15)
}

// TestNAPLimits uses limits computed by script from the definition, as in
// internal/verification, which has more rows.
func TestNAPLimits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		nap       float64
		m, n      int
		low, high float64
	}{
		{38.5 / 42, 6, 7, 0.597319, 0.985998},
		{18.0 / 20, 4, 5, 0.499924, 0.985987},
		{106.0 / 110, 10, 11, 0.749972, 0.995081},
		{8.0 / 9, 3, 3, 0.401008, 0.988370},
		{20.0 / 28, 4, 7, 0.360845, 0.911465},
		{23.0 / 25, 5, 5, 0.546591, 0.989514},
		{0.5, 3, 4, 0.166864, 0.833136},
		{1, 5, 5, 0.642703, 1},
		{1, 7, 14, 0.788396, 1},
		{0, 3, 3, 0, 0.498981},
	} {
		low, high, ok := NAPLimits(c.nap, c.m, c.n, Z975)
		if !ok {
			t.Fatalf("%+v: no limits", c)
		}
		near(t, "low", low, c.low, 5e-7)
		near(t, "high", high, c.high, 5e-7)
	}
	if low, high, _ := NAPLimits(1, 1, 1, Z975); low <= 0 || high != 1 || math.IsNaN(low) {
		t.Errorf("one pair: %v to %v", low, high)
	}
	for _, size := range [][2]int{{0, 3}, {3, 0}} {
		if _, _, ok := NAPLimits(0.5, size[0], size[1], Z975); ok {
			t.Errorf("%v: limits of an empty group", size)
		}
	}
}
