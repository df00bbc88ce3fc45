package stat

import "math"

// MaxWindow is the longest window that Waiting handles: its states are the
// memory of the last window − 1 sessions, 8,192 at worst.
const MaxWindow = 14

// absorbed marks the state in which the window is satisfied.
const absorbed = -1

// Waiting is the wait for a window of successes: need in a row, or need of the
// last `of` (which may be satisfied before `of` sessions exist). Its states are
// only those reachable from where it starts.
type Waiting struct {
	need, of int // of is 0 for a window in a row
	// After a success or a failure in state i, the state is next[i]; start is 0.
	afterSuccess, afterFailure []int32
}

// NewWaiting prepares a wait for need successes in a row (of = 0) or need of the
// last of, after the outcomes so far (oldest first; none for a standing start).
// The window must not be satisfied by them. It panics beyond MaxWindow or for
// need < 1; callers check their input first.
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
		state = w.worth((state<<1 | indicatorInt(success)) & w.memory())
	}
	return state
}

// worth forgets the successes that can no longer help: one that is a sessions
// old, with c successes from it on, is in no satisfied window unless the
// of − a sessions that it stays in sight can bring c to need. Pasts that differ
// only in such successes are one state.
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

// memory is the mask of the outcomes that still matter after a session.
func (w *Waiting) memory() uint32 { return 1<<(w.of-1) - 1 }

func indicatorInt(yes bool) uint32 {
	if yes {
		return 1
	}
	return 0
}

// step returns the state after one more session; done when it satisfies.
func (w *Waiting) step(state uint32, success bool) (next uint32, done bool) {
	if w.of == 0 {
		if !success {
			return 0, false
		}
		return state + 1, int(state)+1 >= w.need
	}
	next = w.worth((state<<1 | indicatorInt(success)) & w.memory())
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

// advance moves the probabilities of the states by one session that succeeds
// with probability s, from p into next, and returns what the window took. Both
// have one place more than there are states, which takes that.
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

// Within returns the probability of meeting the window within 0, 1, … sessions,
// up to and including `sessions`, each of which succeeds with probability s.
func (w *Waiting) Within(s float64, sessions int) []float64 {
	out := make([]float64, sessions+1)
	p, next := w.standing()
	for t := 1; t <= sessions; t++ {
		// Probabilities are added up, never taken from 1: small ones keep their digits.
		out[t] = min(1, out[t-1]+w.advance(p, next, s))
		p, next = next, p
	}
	return out
}

func (w *Waiting) standing() (p, next []float64) {
	p, next = make([]float64, len(w.afterSuccess)+1), make([]float64, len(w.afterSuccess)+1)
	p[0] = 1
	return p, next
}

// Expected returns the expected number of sessions until the window is met,
// each of which succeeds with probability s; ok is false when it is infinite.
func (w *Waiting) Expected(s float64) (sessions float64, ok bool) {
	switch {
	case s <= 0:
		return 0, false
	case s >= 1:
		return w.whenAllSucceed(), true
	case w.of == 0 && w.afterFailure[0] == 0:
		// From a standing start: (1 − sᵏ) ÷ ((1 − s) sᵏ), Feller vol. 1, XIII.7
		// (recalled, not looked up; tests hold it against sums), with
		// (1 − sᵏ) ÷ (1 − s) as the sum of powers, which does not cancel.
		sum, power := 0.0, 1.0
		for range w.need {
			sum += power
			power *= s
		}
		// Beyond what a number holds it is as good as infinite.
		expected := sum / power
		return expected, !math.IsInf(expected, 1)
	}
	return w.expectedByTail(s)
}

func (w *Waiting) whenAllSucceed() float64 {
	state, sessions := int32(0), 0.0
	for state != absorbed {
		state = w.afterSuccess[state]
		sessions++
	}
	return sessions
}

// expectedByTail adds P(not met by t) over t until those not yet met have
// settled into their lasting mix of states; from there a constant share h meets
// the window at each session, and the rest of the sum is what is left ÷ h. h is
// summed directly, so that a wait of 1e9 sessions is as precise as one of 5.
func (w *Waiting) expectedByTail(s float64) (float64, bool) {
	const (
		precision = 1e-14
		// A session is forgotten after a window, and with it what came before.
		patience = MaxWindow + 2
		limit    = 200_000
		// Masses are brought back to 1 before they lose digits, not each time.
		small = 1e-100
	)
	p, next := w.standing()
	// alive is P(not met so far), and mass what p sums to: the same, scaled.
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

// total adds up in four lines at a time, which do not wait for each other.
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

// Counts counts sequences of outcomes of each length by how many of them are
// successes: Counts[N][j] times sʲ (1−s)^(N−j) is a probability, for any s, and
// all terms are positive.
type Counts [][]float64

// At returns the sum over the sequences of length n where each session succeeds
// with probability s.
func (c Counts) At(n int, s float64) float64 {
	counts := c[n]
	fail, sum := 1-s, 0.0
	// Horner in s, the failures' power growing as the successes' shrinks. No
	// sequence has more successes than there are counts.
	power := math.Pow(fail, float64(n-len(counts)+1))
	for j := len(counts) - 1; j >= 0; j-- {
		sum = sum*s + counts[j]*power
		power *= fail
	}
	return sum
}

// Hits counts, for 0 … sessions, the sequences that meet the window at their last
// session and not before. P(met within N) is the sum of At over 1 … N; nothing is
// taken from 1, so that small probabilities keep their digits.
func (w *Waiting) Hits(sessions int) Counts {
	width := w.mostMissed(sessions) + 1
	now := make([]float64, len(w.afterSuccess)*width)
	next := make([]float64, len(now))
	now[0] = 1
	before := w.predecessors()
	hits := Counts{{0}}
	for n := range sessions {
		// Successes that a sequence of length n can have without meeting.
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

// Within returns the probability of meeting the window within 0, 1, … sessions
// from its hits, each session succeeding with probability s.
func (c Counts) Within(s float64) []float64 {
	out := make([]float64, len(c))
	for n := 1; n < len(c); n++ {
		out[n] = min(1, out[n-1]+c.At(n, s))
	}
	return out
}

// mostMissed is the most successes that n sessions can have without meeting the
// window from a standing start.
func (w *Waiting) mostMissed(n int) int {
	of := max(w.of, w.need)
	return n/of*(w.need-1) + min(n%of, w.need-1)
}

// predecessors lists, for each state, the states from which a failure leads to
// it (2·state), and a success (2·state + 1).
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

// gather makes the counts of the next session in each state from those of its
// predecessors. What lies beyond the counts that can be there is 0 in both.
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

// add adds each of from to into, which is as long.
func add(into, from []float64) {
	into = into[:len(from)]
	for j, c := range from {
		into[j] += c
	}
}
