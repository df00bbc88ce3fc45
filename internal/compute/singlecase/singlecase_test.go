package singlecase

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/compute/answer"
	"newel/internal/exact"
	"newel/internal/strict"
)

// phase generates least to most values with many ties.
func phase(least, most int) *rapid.Generator[[]exact.Rat] {
	return rapid.Custom(func(t *rapid.T) []exact.Rat {
		var out []exact.Rat
		for range rapid.IntRange(least, most).Draw(t, "n") {
			out = append(out, exact.Frac(rapid.Int64Range(-6, 12).Draw(t, "value"), rapid.SampledFrom([]int64{1, 2, 3}).Draw(t, "over")))
		}
		return out
	})
}

func mustCompare(t *rapid.T, a, b []exact.Rat, way Improvement) Effect {
	e, err := Compare(EffectQuestion{a, b, way})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func near(t *rapid.T, what string, got, want float64) {
	if math.IsNaN(got) || math.Abs(got-want) > 1e-9 {
		t.Fatalf("%s: %v, want %v", what, got, want)
	}
}

// TestEffectSymmetries checks that swapping the phases, or the direction,
// reverses NAP and tau, and that negating both phases and the direction changes
// nothing.
func TestEffectSymmetries(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := phase(1, 12).Draw(t, "a"), phase(1, 12).Draw(t, "b")
		e := mustCompare(t, a, b, Up)
		swapped, down := mustCompare(t, b, a, Up), mustCompare(t, a, b, Down)
		negative := mustCompare(t, negated(a), negated(b), Down)
		negative.LogResponseRatio = e.LogResponseRatio // takes values as they are
		one, _ := json.Marshal(e)
		two, _ := json.Marshal(negative)
		if string(one) != string(two) {
			t.Fatalf("negated: %s, not %s", two, one)
		}
		near(t, "swapped NAP", *swapped.NAP, 1-*e.NAP)
		near(t, "swapped tau", *swapped.Tau, -*e.Tau)
		near(t, "other direction's NAP", *down.NAP, 1-*e.NAP)
		near(t, "other direction's tau", *down.Tau, -*e.Tau)
		near(t, "other direction's Tau-U", *down.TauU, -*e.TauU)
		near(t, "tau by NAP", *e.Tau, 2**e.NAP-1)
		near(t, "limits turned round", *down.NAPLow, 1-*e.NAPHigh)
		if e.Better+e.Tied+e.Worse != len(a)*len(b) || swapped.Better != e.Worse {
			t.Fatalf("pairs %+v", e)
		}
	})
}

// TestEffectBounds checks invariants of any two phases.
func TestEffectBounds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := phase(1, 12).Draw(t, "a"), phase(1, 12).Draw(t, "b")
		e := mustCompare(t, a, b, Up)
		m, n := float64(len(a)), float64(len(b))
		for what, v := range map[string]*float64{"PND": e.PND, "PEM": e.PEM, "NAP": e.NAP} {
			if *v < 0 || *v > 1 {
				t.Fatalf("%s %v", what, *v)
			}
		}
		if *e.PAND < max(m, n)/(m+n)-1e-12 || *e.PAND > 1 {
			t.Fatalf("PAND %v of %v and %v", *e.PAND, m, n)
		}
		near(t, "IRD", *e.IRD, 1-(m+n)*(m+n)/(2*m*n)*(1-*e.PAND))
		if *e.NAPLow > *e.NAP || *e.NAPHigh < *e.NAP || *e.NAPLow < 0 || *e.NAPHigh > 1 {
			t.Fatalf("[%v, %v] does not hold %v", *e.NAPLow, *e.NAPHigh, *e.NAP)
		}
		if e.Worse+e.Tied == 0 && (*e.PND != 1 || *e.PAND != 1 || *e.NAPLow >= 1 || *e.NAPHigh != 1) {
			t.Fatalf("all better: %+v", e)
		}
		// Shifting both phases changes no overlap index.
		by := exact.Frac(rapid.Int64Range(-9, 9).Draw(t, "shift"), 7)
		shifted := mustCompare(t, plus(a, by), plus(b, by), Up)
		e.LogResponseRatio, shifted.LogResponseRatio = nil, nil
		one, _ := json.Marshal(e)
		two, _ := json.Marshal(shifted)
		if string(one) != string(two) {
			t.Fatalf("shifted: %s, not %s", two, one)
		}
		if (e.BaselineCorrectedTau == nil) != (len(a) < 2) {
			t.Fatalf("corrected by %d values", len(a))
		}
	})
}

func plus(values []exact.Rat, by exact.Rat) []exact.Rat {
	var out []exact.Rat
	for _, v := range values {
		out = append(out, v.Add(by))
	}
	return out
}

// TestFewestRemoved compares PAND with trying every way of removing values.
func TestFewestRemoved(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := phase(1, 5).Draw(t, "a"), phase(1, 5).Draw(t, "b")
		fewest := len(a) + len(b)
		for set := range 1 << (len(a) + len(b)) {
			gone, ok := 0, true
			for i := range len(a) + len(b) {
				gone += set >> i & 1
			}
			for i, x := range a {
				for j, y := range b {
					ok = ok && (set>>i&1 == 1 || set>>(len(a)+j)&1 == 1 || x.Less(y))
				}
			}
			if ok {
				fewest = min(fewest, gone)
			}
		}
		if got := fewestRemoved(a, b); got != fewest {
			t.Fatalf("%d removed, want %d", got, fewest)
		}
	})
}

// TestTrendSymmetries checks that reversing or negating the values reverses the
// trend.
func TestTrendSymmetries(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		y := phase(0, 14).Draw(t, "y")
		follow := func(y []exact.Rat) Trend {
			f, err := Follow(TrendQuestion{Y: y})
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		f, negative := follow(y), follow(negated(y))
		back := slices.Clone(y)
		slices.Reverse(back)
		backward := follow(back)
		if negative.S != -f.S || backward.S != -f.S || negative.VarS != f.VarS {
			t.Fatalf("S %d, negated %d, backwards %d", f.S, negative.S, backward.S)
		}
		if (f.P == nil) != (len(y) < 2) || (f.PExact == nil) != (len(y) < 2 || len(y) > maxExactTrend) {
			t.Fatalf("%d values: %+v", len(y), f)
		}
		if len(y) < 2 {
			return
		}
		near(t, "p", *negative.P, *f.P)
		near(t, "slope", *negative.TheilSen.Slope, -*f.TheilSen.Slope)
		near(t, "split middle", *negative.SplitMiddle.Slope, -*f.SplitMiddle.Slope)
		near(t, "least squares", *backward.LeastSquares.Slope, -*f.LeastSquares.Slope)
		if *f.P < 0 || *f.P > 1 || f.PExact != nil && (*f.PExact <= 0 || *f.PExact > 1) {
			t.Fatalf("p %v %v", *f.P, f.PExact)
		}
	})
}

// TestPublishedEffects checks the indices that symmetries alone do not
// determine. The overlap with a trend in A is recomputed by script from the
// definitions, as in internal/verification, which has more rows.
func TestPublishedEffects(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ in, want string }{
		{`{"a": [20, 20, 26, 25, 22, 23], "b": [28, 25, 24, 27, 30, 30, 29], "improvement": "up"}`, "31/42 2/7"},
		{`{"a": [3, 3, 4, 5], "b": [4, 5, 6, 7, 7], "improvement": "up"}`, "11/20 -1/1"},
		{`{"a": [20, 18, 20], "b": [20, 21, 23], "improvement": "up"}`, "7/9 7/9"},
		{`{"a": [9, 6, 11, 5], "b": [4, 7, 8, 7, 3, 7, 1], "improvement": "down"}`, "5/14 -4/7"},
	} {
		var want [4]float64
		if _, err := fmt.Sscanf(c.want, "%g/%g %g/%g", &want[0], &want[1], &want[2], &want[3]); err != nil {
			t.Fatal(err)
		}
		e := answerOf[Effect](t, ComputeEffect, c.in)
		if *e.TauU != want[0]/want[1] || *e.BaselineCorrectedTau != want[2]/want[3] {
			t.Errorf("%s: Tau-U %v, corrected tau %v, want %s", c.in, *e.TauU, *e.BaselineCorrectedTau, c.want)
		}
	}
}

func answerOf[A any](t *testing.T, compute answer.Computation, in string) A {
	t.Helper()
	got, err := compute([]byte(in))
	if err != nil {
		t.Fatalf("%s: %v", in, err)
	}
	return got.(A)
}

func about(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > 1e-9 {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// TestLogRatioByHand uses A = 1, 2, 3 (mean 2, variance 1) and B = 4, 6 (mean 5,
// variance 2): s²/(n·mean²) is 1/12 and 1/25.
func TestLogRatioByHand(t *testing.T) {
	t.Parallel()
	got := *answerOf[Effect](t, ComputeEffect, `{"a": [1, 2, 3], "b": [4, 6], "improvement": "up"}`).LogResponseRatio
	about(t, "value", got.Value, math.Log(2.5))
	about(t, "corrected", got.Corrected, math.Log(2.5)+(1.0/25-1.0/12)/2)
	about(t, "standard error", got.SE, math.Sqrt(1.0/25+1.0/12))
	if short := answerOf[Effect](t, ComputeEffect, `{"a": [1], "b": [4, 6], "improvement": "up"}`); short.LogResponseRatio != nil {
		t.Error("one value has a variance")
	}
}

// TestLogRatioNearOne checks that a ratio one part in 10¹⁸ above 1, which as a
// float is 1, has a logarithm other than 0.
func TestLogRatioNearOne(t *testing.T) {
	t.Parallel()
	got := answerOf[Effect](t, ComputeEffect, `{"a": [1, 1], "b": [1.000000000000000001, 1.000000000000000001], "improvement": "up"}`)
	if value := got.LogResponseRatio.Value; math.Abs(value-1e-18) > 1e-30 {
		t.Errorf("%v, want 1e-18", value)
	}
}

// TestTauBByHand: 1, 1, 2, 3 has six pairs, of which five are untied and rise.
// The groups of two and three in 1, 1, 2, 2, 2 leave 10 − 1 − 3 pairs, all of
// which rise.
func TestTauBByHand(t *testing.T) {
	t.Parallel()
	for in, want := range map[string][2]float64{
		`{"y": [1, 1, 2, 3]}`:    {5.0 / 6, 5 / math.Sqrt(6*5)},
		`{"y": [1, 1, 2, 2, 2]}`: {6.0 / 10, 6 / math.Sqrt(10*6)},
		`{"y": [3, 2]}`:          {-1, -1},
	} {
		got := answerOf[Trend](t, ComputeTrend, in)
		about(t, in+" tau-a", *got.TauA, want[0])
		about(t, in+" tau-b", *got.TauB, want[1])
	}
}

// TestCelerationByHand uses counts that change by a constant factor a day, and
// a third day that departs from it: logs 0, 1, 5 on days 0, 1, 3 have slope
// 24/14.
func TestCelerationByHand(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]float64{
		`{"days": [0, 7], "counts_per_minute": [10, 14]}`:              1.4,
		`{"days": [4, 5, 6], "counts_per_minute": [1000, 100, 10]}`:    1e-7,
		`{"days": [0, 1, 3], "counts_per_minute": [1, 10, 100000]}`:    1e12,
		`{"days": [10, 11, 13], "counts_per_minute": [1, 10, 100000]}`: 1e12,
	} {
		got := answerOf[Celeration](t, ComputeCeleration, in)
		if math.Abs(*got.PerWeek/want-1) > 1e-9 {
			t.Errorf("%s: %v a week, want %v", in, *got.PerWeek, want)
		}
		if (got.DaysToDouble == nil) != (want < 1) {
			t.Errorf("%s: doubles in %v days", in, got.DaysToDouble)
		}
	}
}

// TestLargestPhases checks that as many values as allowed are answered, and that
// stability counts four of five values as stable.
func TestLargestPhases(t *testing.T) {
	t.Parallel()
	full := "[" + strings.Repeat("1,", maxPoints-1) + "1]"
	if got := answerOf[Effect](t, ComputeEffect, `{"a": `+full+`, "b": [2], "improvement": "up"}`); got.Better != maxPoints {
		t.Errorf("%d better", got.Better)
	}
	if got := answerOf[Effect](t, ComputeEffect, `{"a": [2], "b": `+full+`, "improvement": "up"}`); got.Worse != maxPoints {
		t.Errorf("%d worse", got.Worse)
	}
	if got := answerOf[Celeration](t, ComputeCeleration, `{"days": `+full+`, "counts_per_minute": `+full+`}`); got.PerWeek != nil {
		t.Errorf("one day has a celeration: %v", *got.PerWeek)
	}
	if got := answerOf[Trend](t, ComputeTrend, `{"y": `+full+`}`); got.Stability.Inside != maxPoints {
		t.Errorf("%d inside", got.Stability.Inside)
	}
	if got := answerOf[Trend](t, ComputeTrend, `{"y": [4, 4, 4, 4, 9]}`).Stability; !*got.Stable || got.Inside != 4 {
		t.Errorf("four of five: %+v", got)
	}
}

// TestEdges checks the answers for inputs at the limits of what is defined.
func TestEdges(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		compute  answer.Computation
		in, want string
	}{
		{ComputeEffect, `{"a": [], "b": [], "improvement": "up"}`, `"better":0,"tied":0,"worse":0,"pnd":null,"pem":null,"pand":null,"ird":null,"nap":null,"nap_low":null,"nap_high":null,"tau":null,"tau_u":null,"baseline_corrected_tau":null,"log_response_ratio":null`},
		{ComputeEffect, `{"a": [3], "b": [], "improvement": "down"}`, `"nap":null`},
		{ComputeEffect, `{"a": [3], "b": [3], "improvement": "down"}`, `"nap":0.5`},
		{ComputeEffect, `{"a": [3], "b": [2], "improvement": "down"}`, `"nap":1`},
		{ComputeEffect, `{"a": [0, 0], "b": [1, 2], "improvement": "up"}`, `"log_response_ratio":null`},
		{ComputeEffect, `{"a": [1, 1], "b": [1, 1], "improvement": "up"}`, `"log_response_ratio":{"value":0,"corrected":0,"se":0}`},
		{ComputeEffect, `{"a": [0.1, 0.2, 0.3], "b": [0.4, 0.5], "improvement": "up"}`, `"baseline_corrected_tau":0`}, // ties that floats would break
		{ComputeTrend, `{"y": []}`, `{"s":0,"var_s":0,"z":null,"p":null,"p_exact":null,"tau_a":null,"tau_b":null,"theil_sen":{"slope":null,"intercept":null},"least_squares":{"slope":null,"intercept":null,"r":null},"split_middle":{"slope":null,"intercept":null},"stability":{"median":null,"inside":0,"of":0,"stable":null}}`},
		{ComputeTrend, `{"y": [5]}`, `"stability":{"median":5,"inside":1,"of":1,"stable":true}`},
		{ComputeTrend, `{"y": [0, 0, 0]}`, `"stability":{"median":0,"inside":3,"of":3,"stable":true}`},
		{ComputeTrend, `{"y": [0, 0, 0, 1]}`, `"stable":false`},
		{ComputeTrend, `{"y": [-8, -10, -6]}`, `"inside":3`},
		{ComputeTrend, `{"y": [1, 2], "x": [1, 11]}`, `"theil_sen":{"slope":0.1,"intercept":0.9}`},
		{ComputeTrend, `{"y": [4, 4]}`, `"tau_a":0,"tau_b":null`},
		{ComputeCeleration, `{"days": [], "counts_per_minute": []}`, `{"per_week":null,"days_to_double":null}`},
		{ComputeCeleration, `{"days": [3], "counts_per_minute": [2]}`, `{"per_week":null,"days_to_double":null}`},
		{ComputeCeleration, `{"days": [3, 3], "counts_per_minute": [2, 4]}`, `{"per_week":null,"days_to_double":null}`},
		{ComputeCeleration, `{"days": [1, 2, 5], "counts_per_minute": [0.3, 0.3, 0.3]}`, `{"per_week":1,"days_to_double":null}`},
		{ComputeCeleration, `{"days": [1, 8], "counts_per_minute": [0, 0.4], "floor": 0.2}`, `"days_to_double":7`},
	} {
		answer, err := c.compute([]byte(c.in))
		if err != nil {
			t.Errorf("%s: %v", c.in, err)
			continue
		}
		b, err := json.Marshal(answer)
		if err != nil || !strings.Contains(string(b), c.want) {
			t.Errorf("%s: %s %v, want %s", c.in, b, err, c.want)
		}
	}
}

func TestErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		compute  answer.Computation
		in, path string
	}{
		{ComputeEffect, `{"a": [1], "b": [2]}`, "improvement"},
		{ComputeEffect, `{"a": [1], "b": [2], "improvement": "sideways"}`, "improvement"},
		{ComputeEffect, `{"a": [1, "2"], "b": [2], "improvement": "up"}`, "a[1]"},
		{ComputeEffect, `{"a": [1, null], "b": [2], "improvement": "up"}`, "a[1]"},
		{ComputeEffect, `{"a": 1, "b": [2], "improvement": "up"}`, "a"},
		{ComputeEffect, `{"a": [` + strings.Repeat("1,", maxPoints) + `1], "b": [2], "improvement": "up"}`, "a"},
		{ComputeEffect, `{"a": [2], "b": [` + strings.Repeat("1,", maxPoints) + `1], "improvement": "up"}`, "b"},
		{ComputeTrend, `{"y": [` + strings.Repeat("1,", maxPoints) + `1]}`, "y"},
		{ComputeCeleration, `{"days": [` + strings.Repeat("1,", maxPoints) + `1], "counts_per_minute": [` + strings.Repeat("1,", maxPoints) + `1]}`, "days"},
		{ComputeEffect, `null`, ""},
		{ComputeTrend, `{"y": [1, 2], "x": [1]}`, "x"},
		{ComputeTrend, `{"y": [1, 2], "x": [2, 2]}`, "x[1]"},
		{ComputeTrend, `{"x": [2]}`, "y"},
		{ComputeCeleration, `{"days": [1], "counts_per_minute": [0]}`, "counts_per_minute[0]"},
		{ComputeCeleration, `{"days": [1], "counts_per_minute": [-1]}`, "counts_per_minute[0]"},
		{ComputeCeleration, `{"days": [1], "counts_per_minute": [1, 2]}`, "counts_per_minute"},
		{ComputeCeleration, `{"days": [1], "counts_per_minute": [1e-400]}`, "counts_per_minute[0]"},
		{ComputeCeleration, `{"days": [1], "counts_per_minute": [1], "floor": 0}`, "floor"},
	} {
		_, err := c.compute([]byte(c.in))
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%.60s: %v, want an error about %q", c.in, err, c.path)
		}
	}
}

func fuzz(f *testing.F, compute answer.Computation) {
	f.Fuzz(func(t *testing.T, document []byte) {
		var out strings.Builder
		err := answer.One(strings.NewReader(string(document)), &out, compute)
		var wrong *strict.Error
		if err != nil && (!errors.As(err, &wrong) || err.Error() == "") {
			t.Fatalf("%#v", err)
		}
		if err == nil && !json.Valid([]byte(out.String())) {
			t.Fatalf("%s", out.String())
		}
	})
}

func FuzzEffect(f *testing.F) {
	f.Add([]byte(`{"a": [1, 2.5], "b": [3, 1e3], "improvement": "down"}`))
	fuzz(f, ComputeEffect)
}

func FuzzTrend(f *testing.F) {
	f.Add([]byte(`{"y": [1, 2.5], "x": [3, 1e3]}`))
	fuzz(f, ComputeTrend)
}

func FuzzCeleration(f *testing.F) {
	f.Add([]byte(`{"days": [1, 2.5], "counts_per_minute": [3, 0], "floor": 0.1}`))
	fuzz(f, ComputeCeleration)
}
