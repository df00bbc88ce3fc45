package stat

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

type waitingRow struct {
	need, of              int // of 0: in a row
	atLeast, trials       int
	p, session            float64
	in5, in10, in20, in50 float64
	expected              float64
	decimals              float64 // the unit in the last place of the probabilities
}

// waitingRows were computed by dynamic programming in exact rational
// arithmetic. internal/verification has the full tables; these rows check the
// two ways of computing an expectation against each other.
var waitingRows = []waitingRow{
	{3, 0, 10, 10, 0.50, 0.0009765625, 2.792149e-09, 7.444214e-09, 1.674834e-08, 4.466074e-08, 1074791424.000000, 1e-10},
	{3, 0, 5, 5, 0.99, 0.9509900499, 0.9443611887, 0.9994471086, 0.9999999161, 1.0000000000, 3.319975, 1e-10},
	{3, 0, 8, 10, 0.95, 0.9884964426, 0.9881070235, 0.9999936251, 1.0000000000, 1.0000000000, 3.070368, 1e-10},
	{2, 0, 8, 10, 0.90, 0.9298091736, 0.9941311973, 0.9999893707, 0.9999999999, 1.0000000000, 2.232167, 1e-10},
	{2, 0, 4, 5, 0.80, 0.7372800000, 0.8943824152, 0.9925349272, 0.9999613848, 1.0000000000, 3.195986, 1e-10},
	{3, 0, 16, 20, 0.70, 0.2375077789, 0.0338292385, 0.0837341946, 0.1759032740, 0.4004183753, 96.576875, 1e-10},
	{2, 0, 10, 10, 0.50, 0.0009765625, 3.811902e-06, 8.575599e-06, 1.810292e-05, 4.668436e-05, 1049600.000000, 1e-10},
	{1, 0, 9, 10, 0.99, 0.9957337998, 1.0000000000, 1.0000000000, 1.0000000000, 1.0000000000, 1.004284, 1e-10},
	{3, 0, 1, 1, 0.95, 0.9500000000, 0.9431125000, 0.9994114935, 0.9999999038, 1.0000000000, 3.327016, 1e-10},
	{10, 0, 1, 1, 0.90, 0.9000000000, 0, 0.3486784401, 0.6973568802, 0.9765888059, 18.679720, 1e-10},
	{3, 4, 9, 10, 0.80, 0.37580964, 0.21450472, 0.45879284, 0.74545933, 0.97352817, 15.652495, 1e-8},
	{4, 5, 8, 10, 0.70, 0.38278279, 0.07447277, 0.22083646, 0.44892521, 0.80495289, 32.196022, 1e-8},
	{2, 3, 5, 5, 0.50, 0.03125000, 0.00650594, 0.01549277, 0.03322419, 0.08452524, 552.126984, 1e-8},
	{3, 3, 10, 10, 0.99, 0.90438208, 0.88115760, 0.99551352, 0.99999181, 1.00000000, 3.680259, 1e-8},
	{9, 10, 1, 1, 0.95, 0.95000000, 0.00000000, 0.91386164, 0.99655031, 0.99999993, 9.770367, 1e-8},
}

func TestWaitingTable(t *testing.T) {
	t.Parallel()
	for _, r := range waitingRows {
		s := NewBinomial(r.trials).Between(r.atLeast, r.trials, r.p)
		near(t, "session", s, r.session, r.decimals)
		w := NewWaiting(r.need, r.of, nil)
		within := w.Within(s, 50)
		for n, want := range map[int]float64{5: r.in5, 10: r.in10, 20: r.in20, 50: r.in50} {
			near(t, "within", within[n], want, r.decimals)
		}
		got, ok := w.Expected(s)
		if !ok {
			t.Fatalf("%+v: no expectation", r)
		}
		near(t, "expected", got, r.expected, 1e-6+r.expected*1e-11)
		byTail, _ := w.expectedByTail(s)
		near(t, "expected by tail", byTail, r.expected, 1e-6+r.expected*1e-11)
	}
}

func TestExpectedEdges(t *testing.T) {
	t.Parallel()
	for _, w := range []*Waiting{NewWaiting(3, 0, nil), NewWaiting(3, 5, nil)} {
		if got, ok := w.Expected(1); got != 3 || !ok {
			t.Errorf("certain: %v %v", got, ok)
		}
		// 1e-200 three times in a row exceeds the range of a float.
		for _, s := range []float64{0, 1e-200} {
			if got, ok := w.Expected(s); ok {
				t.Errorf("hopeless: expected %v sessions", got)
			}
		}
	}
	// Three heads in a row take 14 fair tosses, and after two of them 1 + 14/2.
	for start, want := range map[int]float64{0: 14, 1: 12, 2: 8} {
		got, ok := NewWaiting(3, 0, slices.Repeat([]bool{true}, start)).Expected(0.5)
		if !ok {
			t.Errorf("after %d: no expectation", start)
		}
		near(t, "with a head start", got, want, 1e-9)
	}
	if got, _ := NewWaiting(3, 0, []bool{true, true}).Expected(1); got != 1 {
		t.Errorf("one to go: %v", got)
	}
}

// TestExpectedByTailAgainstSum adds up P(not met by t) for windows that take
// many sessions to settle.
func TestExpectedByTailAgainstSum(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		need, of int
		s        float64
	}{{9, 14, 0.5}, {12, 14, 0.7}, {14, 14, 0.8}, {2, 14, 0.1}, {14, 0, 0.8}} {
		w, want := NewWaiting(c.need, c.of, nil), 0.0
		for _, met := range w.Within(c.s, 5000) {
			want += 1 - met
		}
		got, ok := w.expectedByTail(c.s)
		if !ok || !(math.Abs(got-want) <= 1e-9*want) {
			t.Errorf("%d of %d at %v: %v, want %v", c.need, c.of, c.s, got, want)
		}
	}
}

// TestWaitingStates checks that histories that can no longer help share a state:
// all of a window is the same wait as that many in a row, and after one of two
// within three only its age matters.
func TestWaitingStates(t *testing.T) {
	t.Parallel()
	for window, want := range map[[2]int]int{{3, 0}: 3, {3, 3}: 3, {5, 5}: 5, {2, 3}: 3, {1, 9}: 1} {
		if got := len(NewWaiting(window[0], window[1], nil).afterSuccess); got != want {
			t.Errorf("%d of %d: %d states, want %d", window[0], window[1], got, want)
		}
	}
}

// windowMet is the definition itself, used by the properties below.
func windowMet(need, of int, outcomes []bool) bool {
	for i, success := range outcomes {
		if !success {
			continue
		}
		if of == 0 {
			if i+1 >= need && count(outcomes[i+1-need:i+1]) == need {
				return true
			}
		} else if count(outcomes[max(0, i+1-of):i+1]) >= need {
			return true
		}
	}
	return false
}

func count(outcomes []bool) (n int) {
	for _, yes := range outcomes {
		if yes {
			n++
		}
	}
	return n
}

// TestWaitingByEnumeration sums over all sequences that follow a given start.
func TestWaitingByEnumeration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.IntRange(0, 6).Draw(t, "of")
		need := rapid.IntRange(1, max(1, of)).Draw(t, "need")
		if of == 0 {
			need = rapid.IntRange(1, 5).Draw(t, "row")
		}
		open := func(so []bool) bool { return !windowMet(need, of, so) }
		so := rapid.SliceOfN(rapid.Bool(), 0, 8).Filter(open).Draw(t, "so")
		s := rapid.Float64Range(0.05, 0.95).Draw(t, "s")
		const n = 8
		want := 0.0
		for bits := range 1 << n {
			all, p := append([]bool(nil), so...), 1.0
			for i := range n {
				success := bits>>i&1 == 1
				all = append(all, success)
				if success {
					p *= s
				} else {
					p *= 1 - s
				}
			}
			if windowMet(need, of, all) {
				want += p
			}
		}
		w := NewWaiting(need, of, so)
		if got := w.Within(s, n)[n]; math.Abs(got-want) > 1e-12 {
			t.Fatalf("within: %v, want %v", got, want)
		}
		if got := w.Hits(n).Within(s)[n]; math.Abs(got-want) > 1e-12 {
			t.Fatalf("by hits: %v, want %v", got, want)
		}
	})
}

// TestCountsAgainstSteps checks that summing counted sequences and stepping
// through sessions give the same result, even when it is very small.
func TestCountsAgainstSteps(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.IntRange(0, MaxWindow).Draw(t, "of")
		need := rapid.IntRange(1, max(1, of)).Draw(t, "need")
		if of == 0 {
			need = rapid.IntRange(1, MaxWindow).Draw(t, "row")
		}
		s := rapid.SampledFrom([]float64{0, 1e-12, 0.01, 0.3, 0.5, 0.9, 0.999999, 1}).Draw(t, "s")
		w := NewWaiting(need, of, nil)
		counted := w.Hits(64).Within(s)
		for n, want := range w.Within(s, 64) {
			if math.Abs(counted[n]-want) > 1e-11*want {
				t.Fatalf("%d of %d at %v, %d sessions: %v, want %v", need, of, s, n, counted[n], want)
			}
		}
	})
}

// TestRunClosedForm checks the closed form: 0 for N < k, sᵏ at k, sᵏ +
// (N−k)(1−s)sᵏ up to 2k, and increasing in N.
func TestRunClosedForm(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(1, MaxWindow).Draw(t, "k")
		s := rapid.Float64Range(0, 1).Draw(t, "s")
		within := NewWaiting(k, 0, nil).Within(s, 3*k)
		sk := math.Pow(s, float64(k))
		for n, got := range within {
			want := got
			switch {
			case n < k:
				want = 0
			case n <= 2*k:
				want = sk + float64(n-k)*(1-s)*sk
			}
			if math.Abs(got-want) > 1e-12 || n > 0 && got < within[n-1] {
				t.Fatalf("k %d, N %d: %v, want %v", k, n, got, want)
			}
		}
	})
}

// TestJeffreysAgainstExactRule compares with a rule of far more points than
// exactness needs, and checks the first two moments of the Beta distribution.
func TestJeffreysAgainstExactRule(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		trials := rapid.IntRange(1, 60).Draw(t, "trials")
		n := rapid.IntRange(1, 5*60).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		threshold := rapid.IntRange(0, trials).Draw(t, "threshold")
		tail := NewBinomial(trials)
		hits := NewWaiting(3, 5, nil).Hits(60)
		average := func(nodes []Node, f func(p float64) float64) (sum float64) {
			for _, node := range nodes {
				sum += node.Weight * f(node.P)
			}
			return sum
		}
		taken := JeffreysNodes(x, n, 60*trials, trials)
		exact := jeffreysExact(x, n, 60*trials)
		for _, sessions := range []int{1, 10, 60} {
			f := func(p float64) float64 { return hits.Within(tail.Between(threshold, trials, p))[sessions] }
			if got, want := average(taken, f), average(exact, f); !(math.Abs(got-want) <= 1e-9) { // NaN included
				t.Fatalf("%d sessions: %v, want %v", sessions, got, want)
			}
		}
		a, b := float64(x)+0.5, float64(n-x)+0.5
		mean := average(taken, func(p float64) float64 { return p })
		square := average(taken, func(p float64) float64 { return p * p })
		if !(math.Abs(mean-a/(a+b)) <= 1e-12) || !(math.Abs(square-a*(a+1)/((a+b)*(a+b+1))) <= 1e-12) { // NaN included
			t.Fatalf("moments %v %v", mean, square)
		}
	})
}

// TestJeffreysPoints checks that a function of low degree is averaged exactly by
// as few points as that takes, and that the number of points is limited.
func TestJeffreysPoints(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ x, n, degree, points int }{{0, 0, 1, 1}, {1, 1, 1, 2}, {1, 3, 2, 3}, {2, 3, 4, 4}, {1, 2, 6, 5}} {
		nodes := JeffreysNodes(c.x, c.n, c.degree, 1)
		if len(nodes) != c.points {
			t.Errorf("%+v: %d points", c, len(nodes))
		}
		// E pᵏ is the product of (a + i) ÷ (a + b + i) over i < k.
		want, got := 1.0, 0.0
		for i := range c.degree {
			want *= (float64(c.x+i) + 0.5) / float64(c.n+1+i)
		}
		for _, node := range nodes {
			got += node.Weight * math.Pow(node.P, float64(c.degree))
		}
		near(t, "moment", got, want, 1e-12)
	}
	if got := len(JeffreysNodes(50, 100, 60_000, 44)); got > 64+12*12 {
		t.Errorf("%d points", got)
	}
}

// jeffreysExact is the rule with enough points for the degree and no nodes
// dropped.
func jeffreysExact(x, n, degree int) (nodes []Node) {
	q, total := (n+degree)/2+1, 0.0
	for i := range q {
		sin, cos := math.Sincos((2*float64(i) + 1) * math.Pi / (4 * float64(q)))
		logWeight := 2 * (float64(x)*math.Log(sin) + float64(n-x)*math.Log(cos))
		mode := 0.0
		if x > 0 && x < n {
			p := float64(x) / float64(n)
			mode = float64(x)*math.Log(p) + float64(n-x)*math.Log(1-p)
		}
		w := math.Exp(logWeight - mode)
		nodes = append(nodes, Node{sin * sin, w})
		total += w
	}
	for i := range nodes {
		nodes[i].Weight /= total
	}
	return nodes
}

func BenchmarkWaitingWorst(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		NewWaiting(9, MaxWindow, nil).Hits(60)
	}
}
