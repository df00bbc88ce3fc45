package stat

import "math/bits"

// Share is one session's contribution to a pooled percentage: Correct out of
// Scored.
type Share struct {
	Correct, Scored int
}

// MaxDealt is the largest number of sessions that DealsAsLarge handles: at most
// 252 ways for ten sessions, 184,756 for twenty.
const MaxDealt = 20

// DealsAsLarge performs an exact permutation test: asLarge/ways is the
// two-sided p value. ways is the number of ways to choose as many sessions as
// mine marks, and as many of them among the first early ones, so that a change
// over time does not pass for a difference between the groups (early 0: any
// choice). asLarge counts those, the observed one included, for which the
// pooled share of the chosen sessions differs from that of the others, in
// either direction, by at least the observed difference. Every session must
// have scored trials and both groups must have a member; otherwise, or beyond
// MaxDealt sessions, both results are 0.
func DealsAsLarge(sessions []Share, mine []bool, early int) (asLarge, ways int) {
	n := len(sessions)
	if n > MaxDealt || len(mine) != n {
		return 0, 0
	}
	var seen uint
	all := Share{}
	for i, s := range sessions {
		if s.Scored <= 0 {
			return 0, 0
		}
		all.Correct += s.Correct
		all.Scored += s.Scored
		if mine[i] {
			seen |= 1 << i
		}
	}
	size := bits.OnesCount(seen)
	if size == 0 || size == n {
		return 0, 0
	}
	pool := func(set uint) Share {
		p := Share{}
		for s := set; s != 0; s &= s - 1 {
			i := bits.TrailingZeros(s)
			p.Correct += sessions[i].Correct
			p.Scored += sessions[i].Scored
		}
		return p
	}
	observed := differenceOf(pool(seen), all)
	first := uint(1)<<early - 1
	inFirst := bits.OnesCount(seen & first)
	for set := uint(1)<<size - 1; set < 1<<n; set = nextOfSameSize(set) {
		if bits.OnesCount(set&first) != inFirst {
			continue
		}
		ways++
		if !differenceOf(pool(set), all).less(observed) {
			asLarge++
		}
	}
	return asLarge, ways
}

// nextOfSameSize returns the next larger number with the same number of set
// bits.
func nextOfSameSize(set uint) uint {
	lowest := set & -set
	carried := set + lowest
	return carried | (set^carried)>>2/lowest
}

// difference is the absolute difference of two proportions, unreduced.
type difference struct{ num, den uint64 }

// differenceOf returns |part − rest| as proportions, where rest is all
// without part.
func differenceOf(part, all Share) difference {
	rest := Share{all.Correct - part.Correct, all.Scored - part.Scored}
	d := int64(part.Correct)*int64(rest.Scored) - int64(rest.Correct)*int64(part.Scored)
	return difference{uint64(max(d, -d)), uint64(part.Scored) * uint64(rest.Scored)}
}

func (a difference) less(b difference) bool {
	ah, al := bits.Mul64(a.num, b.den)
	bh, bl := bits.Mul64(b.num, a.den)
	return ah < bh || ah == bh && al < bl
}
