package singlecase

import (
	"fmt"
	"math"

	"newel/internal/exact"
	"newel/internal/stat"
	"newel/internal/strict"
)

// TrendQuestion holds the values of one phase. X are the positions of the
// values, strictly increasing; 1, 2, 3 … if omitted.
type TrendQuestion struct {
	Y, X []exact.Rat
}

// Trend describes the values of one phase: a test for any trend, lines through
// the values, and how stable their level is.
type Trend struct {
	// S is Kendall's S (Mann 1945): rising minus falling pairs.
	S int `json:"s"`
	// VarS is the variance of S under no trend, adjusted for ties.
	VarS float64 `json:"var_s"`
	// Z is S with continuity correction ÷ √VarS, 0 if S is 0. P is the
	// two-sided p value from Z. Both need two values.
	Z *float64 `json:"z"`
	P *float64 `json:"p"`
	// PExact is the two-sided p value over all orders of the values, given the
	// ties; only for 2 to 9 values.
	PExact *float64 `json:"p_exact"`
	// TauA is S ÷ pairs; TauB is S ÷ √(pairs · pairs not tied).
	TauA *float64 `json:"tau_a"`
	TauB *float64 `json:"tau_b"`

	TheilSen     Line      `json:"theil_sen"`     // see stat.TheilSen
	LeastSquares LineR     `json:"least_squares"` // see stat.LeastSquares
	SplitMiddle  Line      `json:"split_middle"`  // see stat.SplitMiddle
	Stability    Stability `json:"stability"`
}

// Line is y = slope·x + intercept; nil for fewer than two points.
type Line struct {
	Slope     *float64 `json:"slope"`
	Intercept *float64 `json:"intercept"`
}

// LineR is a line and the correlation, which is also nil if all y are equal.
type LineR struct {
	Line
	R *float64 `json:"r"`
}

// Stability is the number of values within ±25 % of their median, inclusive.
// Stable means 80 % or more of them (Lane and Gast 2014, recalled).
type Stability struct {
	Median *float64 `json:"median"`
	Inside int      `json:"inside"`
	Of     int      `json:"of"`
	Stable *bool    `json:"stable"`
}

// maxExactTrend is the largest number of values for which Trend.PExact is
// computed.
const maxExactTrend = 9

// ComputeTrend reads a TrendQuestion as JSON and returns the Trend.
func ComputeTrend(document []byte) (any, error) {
	var q TrendQuestion
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"y"}, func(name string) error {
			switch name {
			case "y":
				return d.Numbers(&q.Y)
			case "x":
				return d.Numbers(&q.X)
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	return Follow(q)
}

// Follow computes the trend. An error it returns is a *strict.Error.
func Follow(q TrendQuestion) (Trend, error) {
	x := q.X
	switch {
	case len(q.Y) > maxPoints:
		return Trend{}, strict.At("y", "must have at most %d values", maxPoints)
	case x == nil:
		x = numbered(1, len(q.Y))
	case len(x) != len(q.Y):
		return Trend{}, strict.At("x", "must have as many values as y: %d, not %d", len(q.Y), len(x))
	}
	for i := 1; i < len(x); i++ {
		if !x[i-1].Less(x[i]) {
			return Trend{}, strict.At(fmt.Sprintf("x[%d]", i), "must be more than the one before")
		}
	}
	t := Trend{S: stat.Rising(q.Y), Stability: stability(q.Y)}
	t.test(stat.Ties(q.Y), len(q.Y))
	t.lines(x, q.Y)
	return t, nil
}

// test sets the trend test of n values, given the sizes of the groups of equal
// ones.
func (t *Trend) test(ties []int, n int) {
	varS := stat.VarS(ties)
	t.VarS = varS.Float64()
	if n < 2 {
		return
	}
	z := stat.TrendZ(t.S, varS)
	p := stat.TwoSided(z)
	t.Z, t.P = &z, &p
	if n <= maxExactTrend {
		if exactly, ok := stat.AtLeastAsFar(t.S, ties); ok {
			t.PExact = pointer(exactly.Float64())
		}
	}
	pairs := int64(n) * int64(n-1) / 2
	t.TauA = share(int64(t.S), pairs)
	untied := pairs
	for _, g := range ties {
		untied -= int64(g) * int64(g-1) / 2
	}
	if untied > 0 {
		t.TauB = pointer(float64(t.S) / math.Sqrt(float64(pairs)*float64(untied)))
	}
}

func (t *Trend) lines(x, y []exact.Rat) {
	if l, ok := stat.TheilSen(x, y); ok {
		t.TheilSen = lineOf(l)
	}
	if l, ok := stat.SplitMiddle(x, y); ok {
		t.SplitMiddle = lineOf(l)
	}
	l, r, ok, hasR := stat.LeastSquares(x, y)
	if ok {
		t.LeastSquares.Line = lineOf(l)
	}
	if hasR {
		t.LeastSquares.R = &r
	}
}

func lineOf(l stat.Line) Line {
	return Line{pointer(l.Slope.Float64()), pointer(l.Intercept.Float64())}
}

// stability returns the stability of y. The band around a median of 0 is 0
// itself, so a phase of zeros is stable.
func stability(y []exact.Rat) Stability {
	s := Stability{Of: len(y)}
	median, ok := stat.MedianOf(y)
	if !ok {
		return s
	}
	s.Median = pointer(median.Float64())
	width := median.Abs().Quo(exact.Int(4))
	for _, v := range y {
		if !width.Less(v.Sub(median).Abs()) {
			s.Inside++
		}
	}
	s.Stable = pointer(s.Inside*5 >= s.Of*4)
	return s
}

func pointer[T any](v T) *T { return &v }
