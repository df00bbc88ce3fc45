package stat

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"
	"slices"

	"newel/internal/exact"
)

// slopes are the slopes of all pairs of points, of which only a few are ever
// computed exactly: there are two million among 2,000 points.
type slopes struct {
	x, y       series
	scale      exact.Rat // a slope of whole numbers times scale is one of the values
	near       []pair    // candidates for the slope searched for
	a, b, c, d big.Int
}

// pair is two points, the earlier first.
type pair struct{ i, j int32 }

// series holds values as whole numbers over a common denominator.
type series struct {
	whole []*big.Int
	// small holds the same numbers if every difference of two fits in 64 bits.
	small []int64
}

func newSeries(values []exact.Rat) (s series, den *big.Int) {
	s.whole, den = exact.Whole(values)
	small := make([]int64, len(values))
	for i, v := range s.whole {
		if v.BitLen() > 62 {
			return s, den
		}
		small[i] = v.Int64()
	}
	s.small = small
	return s, den
}

// difference returns the difference of two values as the nearest float; scratch
// is overwritten.
func (s *series) difference(i, j int32, scratch *big.Int) float64 {
	if s.small != nil {
		return float64(s.small[j] - s.small[i])
	}
	f, _ := scratch.Sub(s.whole[j], s.whole[i]).Float64()
	return f
}

// medianSlope returns the median of the slopes of all pairs. There must be two
// points, and x must be strictly increasing.
//
// Every slope is first computed as a float with a relative error of at most three
// roundings. The exact slope of a rank is then among those whose floats are
// within a margin of the float of that rank; only these are compared exactly.
func medianSlope(x, y []exact.Rat) exact.Rat {
	s := &slopes{}
	var xDen, yDen *big.Int
	s.x, xDen = newSeries(x)
	s.y, yDen = newSeries(y)
	s.scale = exact.Quotient(xDen, yDen)
	if s.x.beyondFloat() || s.y.beyondFloat() {
		return s.medianOfAll()
	}
	keys := s.keys()
	sorted := slices.Clone(keys)
	slices.Sort(sorted)
	n := len(sorted)
	upper := s.ofRank(keys, sorted, n/2)
	if n%2 == 1 {
		return upper
	}
	return s.ofRank(keys, sorted, n/2-1).Add(upper).Quo(exact.Int(2))
}

// beyondFloat reports whether a difference or its quotient may exceed a float.
// Numbers parsed by package exact never do.
func (s *series) beyondFloat() bool {
	return slices.ContainsFunc(s.whole, func(v *big.Int) bool { return v.BitLen() > 500 })
}

// medianOfAll computes every slope exactly.
func (s *slopes) medianOfAll() exact.Rat {
	var all []exact.Rat
	for j := range int32(len(s.y.whole)) {
		for i := range j {
			all = append(all, s.exactly(pair{i, j}))
		}
	}
	median, _ := MedianOf(all)
	return median
}

// exactly returns the slope of a pair.
func (s *slopes) exactly(p pair) exact.Rat {
	dy := new(big.Int).Sub(s.y.whole[p.j], s.y.whole[p.i])
	dx := new(big.Int).Sub(s.x.whole[p.j], s.x.whole[p.i])
	return exact.Quotient(dy, dx).Mul(s.scale)
}

// keys returns the slopes as floats, in the order of pairs.
func (s *slopes) keys() []float64 {
	var keys []float64
	for j := range int32(len(s.y.whole)) {
		for i := range j {
			keys = append(keys, s.y.difference(i, j, &s.a)/s.x.difference(i, j, &s.b))
		}
	}
	return keys
}

// ofRank returns the exact slope of a rank, from 0 for the least.
func (s *slopes) ofRank(keys, sorted []float64, rank int) exact.Rat {
	const margin = 1.0 / (1 << 50) // eight units in the last place: two errors of three roundings fit twice
	around := math.Abs(sorted[rank]) * margin
	low, high := sorted[rank]-around, sorted[rank]+around
	s.near = s.near[:0]
	below, at := 0, 0
	for j := range int32(len(s.y.whole)) {
		for i := range j {
			switch key := keys[at]; {
			case key < low:
				below++
			case key <= high:
				s.near = append(s.near, pair{i, j})
			}
			at++
		}
	}
	return s.exactly(s.choose(rank - below))
}

// choose returns the candidate of a rank by Hoare's selection, with three parts
// because many slopes may be equal.
func (s *slopes) choose(rank int) pair {
	from, to := 0, len(s.near)
	for {
		pivot := s.near[from+(to-from)/2]
		less, equal := from, from
		for k := from; k < to; k++ {
			p := s.near[k]
			switch s.compare(p, pivot) {
			case -1:
				s.near[k] = s.near[equal]
				s.near[equal] = s.near[less]
				s.near[less] = p
				less++
				equal++
			case 0:
				s.near[k], s.near[equal] = s.near[equal], p
				equal++
			}
		}
		switch {
		case rank < less:
			to = less
		case rank < equal:
			return pivot
		default:
			from = equal
		}
	}
}

// compare compares the slopes of two pairs exactly, by cross-multiplication.
func (s *slopes) compare(p, q pair) int {
	if x, y := s.x.small, s.y.small; x != nil && y != nil {
		return compareFractions(y[p.j]-y[p.i], x[p.j]-x[p.i], y[q.j]-y[q.i], x[q.j]-x[q.i])
	}
	s.a.Sub(s.y.whole[p.j], s.y.whole[p.i])
	s.b.Sub(s.x.whole[q.j], s.x.whole[q.i])
	s.c.Sub(s.y.whole[q.j], s.y.whole[q.i])
	s.d.Sub(s.x.whole[p.j], s.x.whole[p.i])
	return s.a.Mul(&s.a, &s.b).Cmp(s.c.Mul(&s.c, &s.d))
}

// compareFractions compares n ÷ d with m ÷ e; d and e are more than 0.
func compareFractions(n, d, m, e int64) int {
	sign := cmp.Compare(n, 0)
	if other := cmp.Compare(m, 0); sign != other || sign == 0 {
		return cmp.Compare(sign, other)
	}
	if sign == -1 {
		n, d, m, e = -m, e, -n, d
	}
	nh, nl := bits.Mul64(uint64(n), uint64(e))
	mh, ml := bits.Mul64(uint64(m), uint64(d))
	if nh != mh {
		return cmp.Compare(nh, mh)
	}
	return cmp.Compare(nl, ml)
}
