package sequence

import (
	"slices"
	"strconv"
)

// maxStates bounds the table used to draw one round.
const maxStates = 10_000

// Arrange draws an order of the targets 0 … targets − 1 over stretches of the
// given lengths. Each target occurs as often as any other or once more, and no
// target more than most times in a row within a stretch. It fails only for a
// single target. It adds the tables it computes to known.
func arrange(targets int, lengths []int, most int, known tables, r *random) ([]int, error) {
	trials := total(lengths)
	if trials == 0 {
		return nil, nil
	}
	if targets == 1 {
		if longest := slices.Max(lengths); longest > most {
			return nil, errAlone{longest, most}
		}
		return make([]int, trials), nil
	}
	a := &arrangement{most: most, starts: make([]bool, trials+1), tables: known, r: r}
	at := 0
	for _, length := range lengths {
		a.starts[at] = true
		at += length
	}
	// The rounds are equal except that the first takes the remainder. Another
	// round can follow any of them, because two targets always occur equally
	// often.
	each := trials / targets
	round := largestRound(targets, each, most)
	rounds := max(1, (each+round-1)/round)
	left := make([]int, targets)
	for i := range rounds {
		for t := range left {
			left[t] = round
			if i == 0 {
				left[t] = each - round*(rounds-1)
			}
		}
		if i == 0 {
			for _, t := range r.some(trials%targets, targets) {
				left[t]++
			}
		}
		a.draw(left)
	}
	return a.order, nil
}

// largestRound returns how many trials of each target one round can have while
// its table stays small: there are C(targets + n, n) combinations of up to n
// remaining trials per target.
func largestRound(targets, each, most int) int {
	ways := targets + 1 // C(targets + 1, 1)
	n := 1
	for n < each {
		next := ways * (targets + n + 1) / (n + 1)
		if next*(n+2)*min(most, n+1) > maxStates {
			break
		}
		ways = next
		n++
	}
	return n
}

// arrangement is an order under construction.
type arrangement struct {
	most   int
	starts []bool // whether a stretch starts at a trial
	order  []int
	last   int // the target drawn last in this stretch, -1 for none
	run    int // how many times in a row
	r      *random

	// many[c] is the number of targets with c trials left in this round.
	// Targets with equally many left are interchangeable, which keeps the table
	// small.
	many  []int
	table map[string]float64
	// tables holds the tables of earlier rounds: most rounds of an order are the
	// same but for what was drawn.
	tables tables
}

// tables holds a table of ways for each round, by roundKey.
type tables map[string]map[string]float64

// maxTables is how many tables are kept at a time, which bounds the memory.
const maxTables = 16

// of returns the table of a round, which is empty for one not met before.
func (t tables) of(round string) map[string]float64 {
	if t[round] == nil {
		if len(t) == maxTables {
			clear(t)
		}
		t[round] = map[string]float64{}
	}
	return t[round]
}

// roundKey identifies a round by what ways depends on: the longest run, how
// many targets have how many trials left, and where stretches start.
func (a *arrangement) roundKey(trials int) string {
	key := []byte(stateKey(a.many, a.most, 0))
	for _, starts := range a.starts[len(a.order) : len(a.order)+trials] {
		key = strconv.AppendBool(append(key, ','), starts)
	}
	return string(key)
}

// draw appends a round in which target t occurs left[t] times, with all orders
// equally likely. It consumes left.
func (a *arrangement) draw(left []int) {
	a.many = make([]int, slices.Max(left)+1)
	for _, n := range left {
		a.many[n]++
	}
	trials := total(left)
	a.table = a.tables.of(a.roundKey(trials))
	for range trials {
		at := len(a.order)
		if a.starts[at] {
			a.last, a.run = -1, 0
		}
		lastLeft := -1
		if a.last >= 0 {
			lastLeft = left[a.last]
		}
		t := a.choose(at, left, lastLeft)
		if t == a.last {
			a.run++
		} else {
			a.last, a.run = t, 1
		}
		a.many[left[t]]--
		left[t]--
		a.many[left[t]]++
		a.order = append(a.order, t)
	}
}

// choose draws the next target in proportion to the number of orders that can
// follow.
func (a *arrangement) choose(at int, left []int, lastLeft int) int {
	weights := make([]float64, len(a.many)) // weights[c]: a different target with c left; weights[0]: the last target again
	sum := 0.0
	for c := range weights {
		if c == 0 {
			weights[c] = a.again(at, lastLeft, a.run)
		} else {
			weights[c] = a.other(at, c, lastLeft)
		}
		sum += weights[c]
	}
	u := float64(a.r.fraction() * sum)
	var chosen int // the last with a weight, should rounding leave u at 0 or more
	for c, w := range weights {
		if w == 0 {
			continue
		}
		chosen = c
		if u -= w; u < 0 {
			break
		}
	}
	if chosen == 0 {
		return a.last
	}
	nth := a.r.below(a.others(chosen, lastLeft))
	for t, n := range left {
		if n == chosen && t != a.last {
			if nth == 0 {
				return t
			}
			nth--
		}
	}
	panic("sequence: a target was counted that is not there")
}

// others returns how many targets other than the last have c trials left.
func (a *arrangement) others(c, lastLeft int) int {
	if c == lastLeft {
		return a.many[c] - 1
	}
	return a.many[c]
}

// other returns how many orders continue with a target that has c trials left
// and is not the last one.
func (a *arrangement) other(at, c, lastLeft int) float64 {
	n := a.others(c, lastLeft)
	if n == 0 {
		return 0
	}
	return float64(float64(n) * a.after(at, c, 1))
}

// again returns how many orders continue with the last target.
func (a *arrangement) again(at, lastLeft, run int) float64 {
	if lastLeft < 1 || run >= a.most {
		return 0
	}
	return a.after(at, lastLeft, run+1)
}

// after returns how many orders follow a trial of a target that had c trials
// left.
func (a *arrangement) after(at, c, run int) float64 {
	a.many[c]--
	a.many[c-1]++
	n := a.ways(at+1, c-1, run)
	a.many[c]++
	a.many[c-1]--
	return n
}

// ways returns the number of orders from trial at to the end of the round,
// exact up to 2^53. The explicit conversions around products prevent fused
// multiply-add, which would round differently on some machines.
func (a *arrangement) ways(at, lastLeft, run int) float64 {
	if a.many[0] == total(a.many) {
		return 1
	}
	if a.starts[at] {
		lastLeft, run = -1, 0
	}
	if lastLeft == 0 {
		run = 0 // it cannot repeat
	}
	key := stateKey(a.many, lastLeft, run)
	if n, known := a.table[key]; known {
		return n
	}
	sum := a.again(at, lastLeft, run)
	for c := 1; c < len(a.many); c++ {
		sum += a.other(at, c, lastLeft)
	}
	a.table[key] = sum
	return sum
}

func stateKey(many []int, lastLeft, run int) string {
	key := make([]byte, 0, 3*len(many)+8)
	for _, n := range many {
		key = append(strconv.AppendInt(key, int64(n), 10), ',')
	}
	key = append(strconv.AppendInt(key, int64(lastLeft), 10), ',')
	return string(strconv.AppendInt(key, int64(run), 10))
}
