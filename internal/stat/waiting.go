package stat

import "math"

// MaxWindow is the longest window that Waiting handles. A state is the outcomes
// of the last window − 1 sessions: at most 8,192 states.
const MaxWindow = 14

// absorbed marks the state in which the window is met.
const absorbed = -1

// Waiting models the wait for a window of successes: need in a row, or need of
// the last `of` (which can be met before `of` sessions exist). It holds only
// the states reachable from its start.
type Waiting struct {
	need, of int // of is 0 for a window in a row
	// After a success or a failure in state i, the state is afterSuccess[i] or
	// afterFailure[i]; the start is state 0.
	afterSuccess, afterFailure []int32
}

// NewWaiting returns the wait for need successes in a row (of = 0) or need of
// the last of, given the outcomes so far (oldest first; none for a standing
// start). Those outcomes must not already meet the window. It panics for
// windows longer than MaxWindow and for need < 1; callers check their input
// first.
func NewWaiting(need, of int, so []bool) *Waiting {
	if need < 1 || max(need, of) > MaxWindow || of != 0 && of < need {
		panic("stat: a window out of range")
	}
	w := &Waiting{need: need, of: of}
	w.explore(w.startState(so))
	return w
}

func (w *Waiting) startState(so []bool) uint32 {
	state := uint32(0)
	for _, success := range so {
		if w.of == 0 {
			state = indicatorInt(success) * (state + 1)
			continue
		}
		state = w.worth(state<<1 | indicatorInt(success))
	}
	return state
}

// worth drops outcomes older than the window and successes that can no longer
// help. A success a sessions ago, with
// c successes since and including it, can be in a met window only if the of − a
// sessions during which it stays in the window can raise c to need. Histories
// that differ only in such successes share one state.
func (w *Waiting) worth(state uint32) uint32 {
	kept, successes := uint32(0), 0
	for age := 1; age < w.of; age++ {
		bit := uint32(1) << (age - 1)
		if state&bit == 0 {
			continue
		}
		successes++
		if successes+w.of-age >= w.need {
			kept |= bit
		}
	}
	return kept
}

func indicatorInt(yes bool) uint32 {
	if yes {
		return 1
	}
	return 0
}

// step returns the state after one more session. done is true if that session
// meets the window.
func (w *Waiting) step(state uint32, success bool) (next uint32, done bool) {
	if w.of == 0 {
		if !success {
			return 0, false
		}
		return state + 1, int(state)+1 >= w.need
	}
	next = w.worth(state<<1 | indicatorInt(success))
	if !success {
		return next, false
	}
	ones := 1
	for s := state; s != 0; s &= s - 1 {
		ones++
	}
	return next, ones >= w.need
}

func (w *Waiting) explore(start uint32) {
	index := map[uint32]int32{start: 0}
	queue := []uint32{start}
	number := func(state uint32, done bool) int32 {
		if done {
			return absorbed
		}
		i, known := index[state]
		if !known {
			i = int32(len(queue))
			index[state] = i
			queue = append(queue, state)
		}
		return i
	}
	for i := 0; i < len(queue); i++ {
		w.afterSuccess = append(w.afterSuccess, number(w.step(queue[i], true)))
		w.afterFailure = append(w.afterFailure, number(w.step(queue[i], false)))
	}
}

// advance moves the state probabilities forward by one session with success
// probability s, from p into next, and returns the probability of meeting the
// window in that session. Both slices have one element more than there are
// states, which receives that probability.
func (w *Waiting) advance(p, next []float64, s float64) (met float64) {
	clear(next)
	last, fail := len(w.afterSuccess), 1-s
	for i, mass := range p[:last] {
		j := int(w.afterSuccess[i])
		if j == absorbed {
			j = last
		}
		next[j] += mass * s
		next[w.afterFailure[i]] += mass * fail
	}
	met = next[last]
	next[last] = 0
	return met
}

// Within returns the probabilities of meeting the window within 0, 1, …
// `sessions` sessions, each of which succeeds with probability s.
func (w *Waiting) Within(s float64, sessions int) []float64 {
	out := make([]float64, sessions+1)
	p, next := w.fromStart()
	for t := 1; t <= sessions; t++ {
		// Probabilities are summed, never subtracted from 1, so that small ones
		// keep their precision.
		out[t] = min(1, out[t-1]+w.advance(p, next, s))
		p, next = next, p
	}
	return out
}

func (w *Waiting) fromStart() (p, next []float64) {
	p, next = make([]float64, len(w.afterSuccess)+1), make([]float64, len(w.afterSuccess)+1)
	p[0] = 1
	return p, next
}

// Expected returns the expected number of sessions, each succeeding with
// probability s, until the window is met. ok is false if it is infinite.
func (w *Waiting) Expected(s float64) (sessions float64, ok bool) {
	switch {
	case s <= 0:
		return 0, false
	case w.of == 0 && w.afterFailure[0] == 0:
		// From a standing start: (1 − sᵏ) ÷ ((1 − s) sᵏ), Feller vol. 1, XIII.7
		// (recalled, not looked up; tests compare it with sums). (1 − sᵏ) ÷ (1
		// − s) is computed as a sum of powers, which does not cancel.
		sum, power := 0.0, 1.0
		for range w.need {
			sum += power
			power *= s
		}
		// Too large for a float means infinite for our purposes.
		expected := sum / power
		return expected, !math.IsInf(expected, 1)
	}
	return w.expectedByTail(s)
}

// expectedByTail sums P(not met by t) over t until the unmet states settle into
// their stationary mix. From there a constant share h meets the window at each
// session, and the rest of the sum is the remaining mass ÷ h. h is summed
// directly, so a wait of 1e9 sessions is as precise as one of 5.
func (w *Waiting) expectedByTail(s float64) (float64, bool) {
	const (
		precision = 1e-14
		// A session, and everything before it, stops mattering after a window.
		patience = MaxWindow + 2
		limit    = 200_000
		// Rescale masses to 1 before they lose precision, not every time.
		small = 1e-100
	)
	p, next := w.fromStart()
	// alive is P(not met so far); mass is the sum of p, which is the same value
	// scaled.
	sum, alive, mass, last, settled := 0.0, 1.0, 1.0, 0.0, 0
	for range limit {
		hazard := w.advance(p, next, s) / mass
		left := total(next)
		if hazard > 0 {
			estimate := sum + alive/hazard
			if math.Abs(estimate-last) <= precision*estimate {
				settled++
			} else {
				settled = 0
			}
			last = estimate
			if settled >= patience {
				return estimate, !math.IsInf(estimate, 1)
			}
		}
		sum += alive
		alive *= left / mass
		if alive <= precision*precision*sum {
			return sum, true
		}
		mass = left
		if mass < small {
			for i := range next {
				next[i] /= mass
			}
			mass = 1
		}
		p, next = next, p
	}
	return last, last > 0 && !math.IsInf(last, 1)
}

// total sums in four independent accumulators so that the additions run in
// parallel.
func total(p []float64) float64 {
	var a, b, c, d float64
	for ; len(p) >= 4; p = p[4:] {
		a += p[0]
		b += p[1]
		c += p[2]
		d += p[3]
	}
	for _, v := range p {
		a += v
	}
	return (a + b) + (c + d)
}

// Counts counts outcome sequences of each length by their number of successes:
// Counts[N][j] times sʲ (1−s)^(N−j) is a probability for any s, and all terms
// are positive.
type Counts [][]float64

// At returns the probability of the counted sequences of length n if each
// session succeeds with probability s.
func (c Counts) At(n int, s float64) float64 {
	counts := c[n]
	fail, sum := 1-s, 0.0
	// Horner's scheme in s; the power of the failures grows as that of the
	// successes shrinks. No sequence has more successes than there are counts.
	power := math.Pow(fail, float64(n-len(counts)+1))
	for j := len(counts) - 1; j >= 0; j-- {
		sum = sum*s + counts[j]*power
		power *= fail
	}
	return sum
}

// Hits counts, for 0 … sessions, the sequences that meet the window at their
// last session and not before. P(met within N) is the sum of At over 1 … N.
// Nothing is subtracted from 1, so small probabilities keep their precision.
func (w *Waiting) Hits(sessions int) Counts {
	width := w.mostMissed(sessions) + 1
	now := make([]float64, len(w.afterSuccess)*width)
	next := make([]float64, len(now))
	now[0] = 1
	before := w.predecessors()
	hits := Counts{{0}}
	for n := range sessions {
		// The most successes that a sequence of length n can have without
		// meeting the window, plus one.
		filled := w.mostMissed(n) + 1
		hit := make([]float64, filled+1)
		for i, success := range w.afterSuccess {
			if success == absorbed {
				add(hit[1:], now[i*width:i*width+filled])
			}
		}
		hits = append(hits, hit)
		w.gather(now, next, before, width, w.mostMissed(n+1)+1)
		now, next = next, now
	}
	return hits
}

// Within returns the probability of meeting the window within 0, 1, … sessions,
// computed from its hits, if each session succeeds with probability s.
func (c Counts) Within(s float64) []float64 {
	out := make([]float64, len(c))
	for n := 1; n < len(c); n++ {
		out[n] = min(1, out[n-1]+c.At(n, s))
	}
	return out
}

// mostMissed returns the largest number of successes that n sessions can have
// without meeting the window from a standing start.
func (w *Waiting) mostMissed(n int) int {
	of := max(w.of, w.need)
	return n/of*(w.need-1) + min(n%of, w.need-1)
}

// predecessors returns, for each state, the states from which a failure leads
// to it (at 2·state) and those from which a success does (at 2·state + 1).
func (w *Waiting) predecessors() [][]int32 {
	states := len(w.afterSuccess)
	many := make([]int, states)
	edges := func(visit func(to, from int32)) {
		for i := range states {
			visit(w.afterFailure[i], int32(2*i))
			if j := w.afterSuccess[i]; j != absorbed {
				visit(j, int32(2*i+1))
			}
		}
	}
	edges(func(to, _ int32) { many[to]++ })
	all, out := make([]int32, 2*states), make([][]int32, states)
	for i, n := range many {
		out[i], all = all[:0:n], all[n:]
	}
	edges(func(to, from int32) { out[to] = append(out[to], from) })
	return out
}

// gather computes the counts of each state at the next session from those of
// its predecessors. Both are 0 beyond the counts that are possible.
func (w *Waiting) gather(now, next []float64, before [][]int32, width, filled int) {
	for i, from := range before {
		row := next[i*width : i*width+filled]
		for k, f := range from {
			source, into := now[int(f/2)*width:], row
			if f%2 == 1 {
				into = row[1:]
			}
			if k == 0 {
				row[0] = 0
				copy(into, source)
			} else {
				add(into, source[:len(into)])
			}
		}
		if len(from) == 0 {
			clear(row)
		}
	}
}

// add adds each element of from to into, which has the same length.
func add(into, from []float64) {
	into = into[:len(from)]
	for j, c := range from {
		into[j] += c
	}
}
