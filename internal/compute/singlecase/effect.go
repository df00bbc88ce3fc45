// Package singlecase compares the phases of one learner's graph and describes
// the trend within a phase. Values stay exact until the last step, so rounding
// never makes or breaks a tie. A result that does not exist (a zero divisor,
// one point where two are needed) is nil, never 0, 1 or NaN.
//
// These numbers describe a graph. They do not say why it changed.
package singlecase

import (
	"math"
	"slices"

	"newel/internal/exact"
	"newel/internal/stat"
	"newel/internal/strict"
)

// Improvement is the direction in which values improve.
type Improvement string

// The directions.
const (
	Up   Improvement = "up"
	Down Improvement = "down"
)

// maxPoints is the most values a phase may have, because every pair is
// compared.
const maxPoints = 2000

// EffectQuestion holds the values of phases A and B, each in the order in which
// they were recorded.
type EffectQuestion struct {
	A, B        []exact.Rat
	Improvement Improvement
}

// Effect describes how phase B differs from phase A. Formulas are as in the
// mathematical vignette of an R package for single-case effect sizes (seen),
// with all values negated if less is better.
type Effect struct {
	// Pairs of one A and one B value in which B is better, equal or worse.
	Better int `json:"better"`
	Tied   int `json:"tied"`
	Worse  int `json:"worse"`

	// PND is the share of B values better than the best A value, 0–1; a tie is
	// not better.
	PND *float64 `json:"pnd"`
	// PEM is the share of B values better than the median of A, 0–1; a tie
	// counts half.
	PEM *float64 `json:"pem"`
	// PAND is 1 − (fewest values to remove so that every remaining A is worse
	// than every remaining B) ÷ all, 0–1. It is never below the longer phase's
	// share.
	PAND *float64 `json:"pand"`
	// IRD, robust: 1 − (m+n)²/(2mn) · (1 − PAND).
	IRD *float64 `json:"ird"`
	// NAP is (better + ½ tied) ÷ mn, 0–1: the Mann–Whitney U of B ÷ mn.
	NAP *float64 `json:"nap"`
	// NAPLow and NAPHigh are its 95 % interval; see stat.NAPLimits.
	NAPLow  *float64 `json:"nap_low"`
	NAPHigh *float64 `json:"nap_high"`
	// Tau is (better − worse) ÷ mn = 2 NAP − 1.
	Tau *float64 `json:"tau"`
	// TauU is (S of A against B − S of A's own trend) ÷ mn. It can exceed ±1.
	TauU *float64 `json:"tau_u"`
	// BaselineCorrectedTau is the Tau of the residuals from a line with the
	// Theil–Sen slope of A over the session numbers, always corrected, divided
	// by mn. nil for a single A value, which has no slope.
	BaselineCorrectedTau *float64 `json:"baseline_corrected_tau"`
	// LogResponseRatio is nil unless both means are positive and both phases
	// have two values. It uses the values as recorded, whichever direction is
	// better.
	LogResponseRatio *LogRatio `json:"log_response_ratio"`
}

// LogRatio is ln(mean B ÷ mean A), the same with small-sample bias correction
// (adding s²_B/(2n·B²) − s²_A/(2m·A²)), and its standard error.
type LogRatio struct {
	Value     float64 `json:"value"`
	Corrected float64 `json:"corrected"`
	SE        float64 `json:"se"`
}

// ComputeEffect reads an EffectQuestion as JSON and returns the Effect.
func ComputeEffect(document []byte) (any, error) {
	var q EffectQuestion
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"a", "b", "improvement"}, func(name string) error {
			switch name {
			case "a":
				return d.Numbers(&q.A)
			case "b":
				return d.Numbers(&q.B)
			case "improvement":
				return d.Text((*string)(&q.Improvement))
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	return Compare(q)
}

// Compare computes the effect. An error it returns is a *strict.Error.
func Compare(q EffectQuestion) (Effect, error) {
	switch {
	case q.Improvement != Up && q.Improvement != Down:
		return Effect{}, strict.At("improvement", "%q is neither up nor down", string(q.Improvement))
	case len(q.A) > maxPoints:
		return Effect{}, strict.At("a", "must have at most %d values", maxPoints)
	case len(q.B) > maxPoints:
		return Effect{}, strict.At("b", "must have at most %d values", maxPoints)
	}
	a, b := q.A, q.B
	if q.Improvement == Down {
		a, b = negated(a), negated(b)
	}
	e := Effect{LogResponseRatio: logRatio(q.A, q.B)}
	e.Better, e.Tied, e.Worse = stat.Overlap(a, b)
	if len(a) == 0 || len(b) == 0 {
		return e, nil
	}
	m, n := int64(len(a)), int64(len(b))
	pairs := m * n
	e.overlap(a, b)
	e.Tau = share(int64(e.Better-e.Worse), pairs)
	e.TauU = share(int64(e.Better-e.Worse-stat.Rising(a)), pairs)
	e.BaselineCorrectedTau = correctedTau(a, b)
	return e, nil
}

// overlap sets the indices that do not depend on the order of values.
func (e *Effect) overlap(a, b []exact.Rat) {
	m, n := int64(len(a)), int64(len(b))
	median, _ := stat.MedianOf(a)
	best := slices.MaxFunc(a, exact.Rat.Cmp)
	above, _, _ := stat.Overlap([]exact.Rat{best}, b)
	e.PND = share(int64(above), n)
	above, level, _ := stat.Overlap([]exact.Rat{median}, b)
	e.PEM = share(int64(2*above+level), 2*n)
	removed := int64(fewestRemoved(a, b))
	e.PAND = share(m+n-removed, m+n)
	// (m+n)²/(2mn) · removed/(m+n)
	e.IRD = share(2*m*n-(m+n)*removed, 2*m*n)
	e.NAP = share(int64(2*e.Better+e.Tied), 2*m*n)
	low, high, _ := stat.NAPLimits(*e.NAP, len(a), len(b), stat.Z975)
	e.NAPLow, e.NAPHigh = &low, &high
}

// fewestRemoved returns how many values must be removed so that every remaining
// a is less than every remaining b. The best split keeps all a below some value
// and all b from it on.
func fewestRemoved(a, b []exact.Rat) int {
	fewest := min(len(a), len(b))
	a, b = slices.SortedFunc(slices.Values(a), exact.Rat.Cmp), slices.SortedFunc(slices.Values(b), exact.Rat.Cmp)
	for _, border := range b {
		below, _ := stat.Below(a, border)
		under, _ := stat.Below(b, border)
		fewest = min(fewest, len(a)-below+under)
	}
	return fewest
}

func correctedTau(a, b []exact.Rat) *float64 {
	first, second := numbered(1, len(a)), numbered(1+len(a), len(b))
	slope, ok := stat.TheilSenSlope(first, a)
	if !ok {
		return nil
	}
	higher, _, lower := stat.Overlap(stat.Residuals(first, a, slope), stat.Residuals(second, b, slope))
	return share(int64(higher-lower), int64(len(a)*len(b)))
}

func logRatio(a, b []exact.Rat) *LogRatio {
	if len(a) < 2 || len(b) < 2 {
		return nil
	}
	meanA, _ := stat.MeanOf(a)
	meanB, _ := stat.MeanOf(b)
	if meanA.Sign() <= 0 || meanB.Sign() <= 0 {
		return nil
	}
	// s²/(n·mean²) of each phase.
	relative := func(values []exact.Rat, mean exact.Rat) exact.Rat {
		n := int64(len(values))
		return stat.SquaresOf(values).Quo(exact.Int(n * (n - 1))).Quo(mean.Mul(mean))
	}
	ra, rb := relative(a, meanA), relative(b, meanB)
	value := logOf(meanB.Quo(meanA))
	return &LogRatio{
		Value:     value,
		Corrected: value + rb.Sub(ra).Float64()/2,
		SE:        math.Sqrt(ra.Add(rb).Float64()),
	}
}

// logOf returns ln of a ratio, accurate near 1 as well.
func logOf(ratio exact.Rat) float64 {
	if near := ratio.Sub(exact.Int(1)).Float64(); math.Abs(near) < 0.5 {
		return math.Log1p(near)
	}
	return math.Log(ratio.Float64())
}

func negated(values []exact.Rat) []exact.Rat {
	out := make([]exact.Rat, len(values))
	for i, v := range values {
		out[i] = v.Neg()
	}
	return out
}

// numbered returns many consecutive numbers starting at from.
func numbered(from, many int) []exact.Rat {
	out := make([]exact.Rat, many)
	for i := range out {
		out[i] = exact.Int(int64(from + i))
	}
	return out
}

// share returns part ÷ whole, or nil if whole is 0.
func share(part, whole int64) *float64 {
	if whole == 0 {
		return nil
	}
	f := exact.Frac(part, whole).Float64()
	return &f
}
