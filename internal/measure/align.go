package measure

import (
	"encoding/json"
	"math/big"
	"slices"

	"newel/internal/exact"
)

// Observed is one trial as an observer recorded it.
type Observed struct {
	Code   string
	Target string // empty if unknown, which fits any target
	// Key is the trial's number in a prepared order or its id, if both
	// observers share it; else empty. Keys are unique within a list.
	Key string
	// AtS is when it was recorded, in seconds from a moment common to both
	// observers; nil if unknown.
	AtS *exact.Rat
}

// Pair is a trial that two observers recorded, as its indexes in their lists;
// -1 if that observer did not record it. In JSON it is [first, second] with
// null for none.
type Pair struct{ First, Second int }

// MarshalJSON returns the pair as a list of two.
func (p Pair) MarshalJSON() ([]byte, error) {
	out := [2]*int{}
	if p.First >= 0 {
		out[0] = &p.First
	}
	if p.Second >= 0 {
		out[1] = &p.Second
	}
	return json.Marshal(out)
}

// Matching is what the trials of two observers are paired by.
type Matching string

// The ways of pairing.
const (
	ByKey  Matching = "key"  // equal keys
	ByTime Matching = "time" // the same target, at most MaxApartS apart
	// ByOrder pairs the same target so that the fewest trials disagree or are
	// left over. The codes help to find the pairs, so observers who agree by
	// chance look better than they are.
	ByOrder Matching = "order"
)

// MaxApartS is how far apart two observers may record one trial, in seconds.
const MaxApartS = 10

// MaxAligned is how many entries each list may have if they are paired by time
// or order: the work grows with the product of both lengths.
const MaxAligned = 3000

// MatchingOf returns the most reliable way of pairing that both lists allow.
func MatchingOf(first, second []Observed) Matching {
	all := func(has func(Observed) bool) bool {
		not := func(o Observed) bool { return !has(o) }
		return !slices.ContainsFunc(first, not) && !slices.ContainsFunc(second, not)
	}
	switch {
	case all(func(o Observed) bool { return o.Key != "" }):
		return ByKey
	case all(func(o Observed) bool { return o.AtS != nil }):
		return ByTime
	}
	return ByOrder
}

func trialPairs(first, second []Observed) []Pair {
	switch MatchingOf(first, second) {
	case ByKey:
		return pairsByKey(first, second)
	case ByTime:
		return pairsByTime(first, second)
	}
	return pairsByOrder(first, second)
}

func byNumber(n int) []Pair {
	pairs := make([]Pair, n)
	for i := range pairs {
		pairs[i] = Pair{i, i}
	}
	return pairs
}

// pairsByKey lists the first observer's trials in order, then those that only
// the second has.
func pairsByKey(first, second []Observed) []Pair {
	at := make(map[string]int, len(second))
	for j, o := range second {
		at[o.Key] = j
	}
	pairs := make([]Pair, 0, max(len(first), len(second)))
	taken := make([]bool, len(second))
	for i, o := range first {
		j, ok := at[o.Key]
		if !ok {
			j = -1
		} else {
			taken[j] = true
		}
		pairs = append(pairs, Pair{i, j})
	}
	for j := range second {
		if !taken[j] {
			pairs = append(pairs, Pair{-1, j})
		}
	}
	return pairs
}

func sameTarget(a, b Observed) bool {
	return a.Target == "" || b.Target == "" || a.Target == b.Target
}

func pairsByTime(first, second []Observed) []Pair {
	times := func(list []Observed) []exact.Rat {
		out := make([]exact.Rat, len(list))
		for i, o := range list {
			out[i] = *o.AtS
		}
		return out
	}
	a, b, unit := inUnits(times(first), times(second))
	most := new(big.Int).Mul(big.NewInt(MaxApartS), unit)
	return align(len(a), len(b), perEntry(most, len(a), len(b)), func(i, j int, cost *big.Int) bool {
		if !sameTarget(first[i], second[j]) {
			return false
		}
		return cost.Abs(cost.Sub(&a[i], &b[j])).Cmp(most) <= 0
	})
}

// durationPairs pairs durations, which are 0 or more.
func durationPairs(first, second []exact.Rat) []Pair {
	if len(first) == len(second) {
		return byNumber(len(first))
	}
	a, b, _ := inUnits(first, second)
	// Durations are not negative, so no sum of differences exceeds their sum.
	leave := big.NewInt(1)
	for _, list := range [][]big.Int{a, b} {
		for i := range list {
			leave.Add(leave, &list[i])
		}
	}
	return align(len(a), len(b), leave, func(i, j int, cost *big.Int) bool {
		cost.Abs(cost.Sub(&a[i], &b[j]))
		return true
	})
}

// perEntry returns a cost of a left-over entry that no sum of differences up to
// most can reach.
func perEntry(most *big.Int, n, m int) *big.Int {
	sum := new(big.Int).Mul(most, big.NewInt(int64(min(n, m))))
	return sum.Add(sum, big.NewInt(1))
}

// pairsByOrder finds the fewest disagreements and left-over trials together
// and, among those, the fewest left over. unit outweighs every number of
// left-over trials.
func pairsByOrder(first, second []Observed) []Pair {
	unit := big.NewInt(int64(len(first)+len(second)) + 1)
	leave := new(big.Int).Add(unit, big.NewInt(1))
	return align(len(first), len(second), leave, func(i, j int, cost *big.Int) bool {
		if !sameTarget(first[i], second[j]) {
			return false
		}
		cost.SetInt64(0)
		if first[i].Code != second[j].Code {
			cost.Set(unit)
		}
		return true
	})
}

// inUnits converts numbers to whole multiples of a common unit, so that sums
// and comparisons are exact and cheap. It returns how many units make 1.
func inUnits(first, second []exact.Rat) (a, b []big.Int, unit *big.Int) {
	unit = big.NewInt(1)
	var common big.Int
	for _, list := range [][]exact.Rat{first, second} {
		for _, r := range list {
			den := r.Big().Denom()
			common.GCD(nil, nil, unit, den)
			unit.Mul(unit, common.Quo(den, &common))
		}
	}
	whole := func(list []exact.Rat) []big.Int {
		out := make([]big.Int, len(list))
		for i, r := range list {
			q := r.Big()
			out[i].Mul(q.Num(), common.Quo(unit, q.Denom()))
		}
		return out
	}
	return whole(first), whole(second), unit
}

// The choices of an alignment, most preferred first if they cost the same.
const (
	takeBoth byte = iota
	leaveFirst
	leaveSecond
)

// align returns the cheapest alignment of n entries with m that keeps the order
// of both, so that pairs never cross. Each left-over entry costs leave. pair
// sets the cost of pairing two entries, or returns false if they do not fit.
//
// It is dynamic programming over suffixes: cost[j] is the least cost of the
// entries from i and from j on. Where choices cost the same, from the start on,
// it pairs rather than leaves over, and leaves over the first list's entry
// rather than the second's.
func align(n, m int, leave *big.Int, pair func(i, j int, cost *big.Int) bool) []Pair {
	cost, after := make([]big.Int, m+1), make([]big.Int, m+1)
	for j := m - 1; j >= 0; j-- {
		cost[j].Add(&cost[j+1], leave)
	}
	choices := make([]byte, n*m)
	var paired, skipped big.Int
	for i := n - 1; i >= 0; i-- {
		cost, after = after, cost
		cost[m].Add(&after[m], leave)
		for j := m - 1; j >= 0; j-- {
			least, choice := cost[j].Add(&after[j], leave), leaveFirst
			if skipped.Add(&cost[j+1], leave).Cmp(least) < 0 {
				least.Set(&skipped)
				choice = leaveSecond
			}
			if pair(i, j, &paired) && paired.Add(&paired, &after[j+1]).Cmp(least) <= 0 {
				least.Set(&paired)
				choice = takeBoth
			}
			choices[i*m+j] = choice
		}
	}
	return follow(choices, n, m)
}

// follow reads the alignment from the choices, from the start on.
func follow(choices []byte, n, m int) []Pair {
	pairs := make([]Pair, 0, max(n, m))
	i, j := 0, 0
	for i < n || j < m {
		choice := leaveFirst
		switch {
		case i == n:
			choice = leaveSecond
		case j < m:
			choice = choices[i*m+j]
		}
		switch choice {
		case takeBoth:
			pairs = append(pairs, Pair{i, j})
			i, j = i+1, j+1
		case leaveFirst:
			pairs = append(pairs, Pair{i, -1})
			i++
		default:
			pairs = append(pairs, Pair{-1, j})
			j++
		}
	}
	return pairs
}
