package stat

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// near fails unless got is within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

func TestWilson(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x, n      int
		low, high float64
		tolerance float64
	}{
		// Newcombe 1998, Table I, as asserted by a public repository's test
		// that names the table (the paper itself was not opened).
		// internal/verification has more rows.
		{81, 263, 0.2553, 0.3662, 5e-5},
		{0, 20, 0.0000, 0.1611, 5e-5},
		// Computed with R 4.2.2, prop.test(correct = FALSE).
		{5, 5, 0.56551754, 1, 1e-8},
	} {
		low, high, ok := Wilson(c.x, c.n, Z975)
		if !ok {
			t.Fatalf("%d/%d: no interval", c.x, c.n)
		}
		near(t, "low", low, c.low, c.tolerance)
		near(t, "high", high, c.high, c.tolerance)
	}
	for _, c := range [][2]int{{0, 0}, {-1, 3}, {4, 3}} {
		if _, _, ok := Wilson(c[0], c[1], Z975); ok {
			t.Errorf("%d/%d has an interval", c[0], c[1])
		}
	}
}

func TestWilsonProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		low, high, _ := Wilson(x, n, Z975)
		otherLow, otherHigh, _ := Wilson(n-x, n, Z975)
		p := float64(x) / float64(n)
		if low > p || high < p {
			t.Fatalf("[%v, %v] does not hold %v", low, high, p)
		}
		if math.Abs(low-(1-otherHigh)) > 1e-12 || math.Abs(high-(1-otherLow)) > 1e-12 {
			t.Fatalf("not symmetric for %d/%d", x, n)
		}
		if x == 0 && low != 0 || x == n && high != 1 {
			t.Fatalf("ends are not exact for %d/%d", x, n)
		}
	})
}

// TestBinomialTails compares with exact rational arithmetic.
func TestBinomialTails(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		n, atLeast int
		p, want    float64
	}{
		{10, 10, 0.50, 0.0009765625},
		{10, 10, 0.70, 0.0282475249},
		{10, 10, 0.95, 0.5987369392},
		{5, 5, 0.99, 0.9509900499},
		{20, 18, 0.50, 0.0002012253},
		{20, 18, 0.90, 0.6769268052},
		{10, 8, 0.70, 0.3827827864},
		{10, 9, 0.80, 0.3758096384},
		{5, 4, 0.70, 0.52822},
		{20, 16, 0.99, 0.9999986322},
	} {
		near(t, "tail", NewBinomial(c.n).Between(c.atLeast, c.n, c.p), c.want, 1e-10)
	}
}

func TestBinomialEdges(t *testing.T) {
	t.Parallel()
	b := NewBinomial(10)
	for _, c := range []struct {
		low, high int
		p, want   float64
	}{
		{0, 10, 0.3, 1},
		{1, 10, 0, 0},
		{0, 3, 0, 1},
		{10, 10, 1, 1},
		{0, 9, 1, 0},
		{11, 20, 0.5, 0},
		{5, 4, 0.5, 0},
	} {
		near(t, "edge", b.Between(c.low, c.high, c.p), c.want, 0)
	}
	long := NewBinomial(exactTrials + 1) // by logarithms, and 0 has none
	near(t, "never", long.Between(1, exactTrials+1, 0), 0, 0)
	near(t, "none at 0", long.Between(0, exactTrials, 0), 1, 0)
	near(t, "not all at 1", long.Between(0, exactTrials, 1), 0, 0)
	near(t, "all at 1", long.Between(1, exactTrials+1, 1), 1, 0)
}

// TestBinomialWays compares the two ways of summing: by coefficients and by
// logarithms.
func TestBinomialWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, exactTrials).Draw(t, "n")
		low := rapid.IntRange(0, n).Draw(t, "low")
		high := rapid.IntRange(low, n).Draw(t, "high")
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		exactly := NewBinomial(n).sumSmall(low, high, p)
		logs := &Binomial{n: n, logChoose: LogChoose(n)}
		if got := logs.sumLogs(low, high, p); math.Abs(got-exactly) > 1e-11 {
			t.Fatalf("%v and %v", got, exactly)
		}
	})
	// A long session: P(X ≥ 500 of 1000 at ½) = ½ + C(1000,500)/2^1001, and
	// C(1000,500)/2^1000 = 0.0252250182 (recalled, not looked up).
	near(t, "1000", NewBinomial(1000).Between(500, 1000, 0.5), 0.5+0.0252250182/2, 1e-9)
}

func TestGuessTail(t *testing.T) {
	t.Parallel()
	// Two choices of five: P(X ≥ 4) = 6/32, P(X ≥ 5) = 1/32.
	for _, c := range []struct {
		n, choices, correct int
		num, den            int64
		want                bool
	}{
		{5, 2, 4, 6, 32, true}, // the threshold itself counts
		{5, 2, 4, 19, 100, false},
		{5, 2, 5, 1, 32, true},
		{5, 2, 5, 1, 20, false},
		{5, 2, 0, 1, 1, true},
		{5, 2, 0, 2, 1, false},
		{5, 2, -1, 1, 1, true},
		{5, 2, 1, 31, 32, true},
		{5, 2, 1, 32, 32, false},
		{5, 3, 5, 1, 243, true},
		{5, 3, 5, 1, 242, false},
		// 50 trials, two choices: 31 or more 5.95 %, 32 or more 3.25 %
		// (common tables of the binomial; recalled, not looked up).
		{50, 2, 31, 1, 20, true},
		{50, 2, 32, 1, 20, false},
	} {
		if got := GuessTailAtLeast(c.n, c.choices, c.correct, c.num, c.den); got != c.want {
			t.Errorf("%+v: got %v", c, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 50).Draw(t, "n")
		k := rapid.IntRange(2, 6).Draw(t, "choices")
		x := rapid.IntRange(0, n).Draw(t, "correct")
		tail := NewBinomial(n).Between(x, n, 1/float64(k))
		if math.Abs(tail-0.05) > 1e-9 && GuessTailAtLeast(n, k, x, 1, 20) != (tail >= 0.05) {
			t.Fatalf("tail %v", tail)
		}
	})
}
