package sequence

// random is a small, fast generator with the same output in every language that
// has 32-bit arithmetic: sfc32 from C. Doty-Humphrey's PractRand (recalled).
type random struct{ a, b, c, counter uint32 }

func newRandom(seed uint64) *random {
	r := &random{uint32(seed), uint32(seed >> 32), 0x9e3779b9, 1}
	for range 16 {
		r.next()
	}
	return r
}

func (r *random) next() uint32 {
	out := r.a + r.b + r.counter
	r.counter++
	r.a = r.b ^ r.b>>9
	r.b = r.c + r.c<<3
	r.c = (r.c<<21 | r.c>>11) + out
	return out
}

// below draws a uniform number in 0 … n − 1. n is at most 2^31.
func (r *random) below(n int) int {
	size := uint64(n)
	limit := (1 << 32) / size * size
	for {
		if v := uint64(r.next()); v < limit {
			return int(v % size)
		}
	}
}

// fraction draws one of the 2^53 fractions in [0, 1).
func (r *random) fraction() float64 {
	high, low := uint64(r.next()>>5), uint64(r.next()>>6)
	return float64(high<<26|low) / (1 << 53)
}

// some draws n of the numbers 0 … of − 1, in the order drawn.
func (r *random) some(n, of int) []int {
	all := make([]int, of)
	for i := range all {
		all[i] = i
	}
	for i := range n {
		j := i + r.below(of-i)
		all[i], all[j] = all[j], all[i]
	}
	return all[:n]
}
