package sequence

// place draws the position of the right answer for each trial of an order of
// targets. Each position occurs as often as any other or once more, over all
// trials and for each target, and none more than most times in a row.
//
// It first constructs a valid order of positions: in each block of as many
// trials as there are positions, and in each run of as many successive trials
// of one target, all positions differ. That is an edge coloring of a bipartite
// graph, which always exists (König). It then swaps positions between randomly
// drawn trials whenever the result is still valid. A swap is as likely as its
// reverse, so in the long run all reachable orders are equally likely; it tries
// twenty swaps per trial.
//
// ok is false only if positions must change at every trial and no valid order
// was found.
func place(order []int, targets, places, most int, r *random) (at []int, ok bool) {
	if places == 2 && most == 1 {
		return alternate(order, targets, r)
	}
	p := newPlacing(order, targets, places, most, r)
	p.colour()
	repeats := p.allRepeats()
	for range p.repairs() {
		if repeats == 0 {
			break
		}
		repeats += p.repair()
	}
	if p.most == 1 && repeats > 0 {
		return nil, false
	}
	for range 20 * len(order) {
		p.vary()
	}
	return p.at, true
}

// alternate returns two positions in alternation, the first one drawn. ok is
// false if that would tie positions to targets.
func alternate(order []int, targets int, r *random) (at []int, ok bool) {
	first, lead := r.below(2), make([]int, targets)
	for i, t := range order {
		at = append(at, (first+i)%2)
		lead[t] += 1 - 2*(i%2)
	}
	for _, n := range lead {
		if n < -1 || n > 1 {
			return nil, false
		}
	}
	return at, true
}

type placing struct {
	order  []int
	places int
	most   int
	at     []int // position of each trial, from 0
	r      *random

	// Each trial belongs to a block of trials and to a block of its target's
	// trials; inBlock[side][block][place] is the trial, or -1.
	block   [2][]int
	inBlock [2][][]int

	count [][]int // of each target at each position
	often []int   // how many trials each target has
}

func newPlacing(order []int, targets, places, most int, r *random) *placing {
	p := &placing{
		order: order, places: places, most: most, r: r,
		at: make([]int, len(order)), often: make([]int, targets), count: make([][]int, targets),
	}
	for t := range p.count {
		p.count[t] = make([]int, places)
	}
	numbers := map[[2]int]int{}
	for i, t := range order {
		own := [2]int{t, p.often[t] / places}
		if _, known := numbers[own]; !known {
			numbers[own] = len(numbers)
			p.inBlock[1] = append(p.inBlock[1], none(places))
		}
		if i%places == 0 {
			p.inBlock[0] = append(p.inBlock[0], none(places))
		}
		p.block[0] = append(p.block[0], i/places)
		p.block[1] = append(p.block[1], numbers[own])
		p.often[t]++
	}
	return p
}

func none(places int) []int {
	out := make([]int, places)
	for i := range out {
		out[i] = -1
	}
	return out
}

// colour assigns every trial a position that neither of its blocks contains
// yet.
func (p *placing) colour() {
	for i := range p.order {
		common := p.free(func(place int) bool { return p.at0(0, i, place) < 0 && p.at0(1, i, place) < 0 })
		if len(common) > 0 {
			p.put(i, common[p.r.below(len(common))])
			continue
		}
		// One position is free in its block of trials, another in its target's
		// block. Swap the two along the path of trials that alternate between
		// them, starting from the target's block; the path cannot reach the
		// block of trials.
		here := p.free(func(place int) bool { return p.at0(0, i, place) < 0 })
		there := p.free(func(place int) bool { return p.at0(1, i, place) < 0 })
		a, b := here[p.r.below(len(here))], there[p.r.below(len(there))]
		p.swapAlong(i, a, b)
		p.put(i, a)
	}
	for i, t := range p.order {
		p.count[t][p.at[i]]++
	}
}

// at0 returns the trial that has the position place in trial i's block on that
// side.
func (p *placing) at0(side, i, place int) int { return p.inBlock[side][p.block[side][i]][place] }

func (p *placing) free(is func(place int) bool) []int {
	var out []int
	for place := range p.places {
		if is(place) {
			out = append(out, place)
		}
	}
	return out
}

func (p *placing) put(i, place int) {
	p.at[i] = place
	for side := range p.inBlock {
		p.inBlock[side][p.block[side][i]][place] = i
	}
}

func (p *placing) swapAlong(i, a, b int) {
	var path []int
	for side, place := 1, a; ; side, place = 1-side, a+b-place {
		next := p.at0(side, i, place)
		if next < 0 {
			break
		}
		path = append(path, next)
		i = next
	}
	for _, t := range path {
		for side := range p.inBlock {
			p.inBlock[side][p.block[side][t]][p.at[t]] = -1
		}
	}
	for _, t := range path {
		p.put(t, a+b-p.at[t])
	}
}

// repairs returns how many swaps to try to reach a valid order. The blocks
// allow a position at most twice in a row, so only a change at every trial
// needs any.
func (p *placing) repairs() int {
	if p.most > 1 {
		return 0
	}
	return 100 * len(p.order)
}

// repair swaps the positions of two randomly drawn trials if the targets' shares
// stay even and no more trials repeat the position before them. It returns by
// how many the repeats change. It looks only at the trials' neighbors: counting
// all repeats again would make the time grow with the square of the trials.
func (p *placing) repair() int {
	i, j, ok := p.drawn()
	if !ok {
		return 0
	}
	before := p.repeats(i, j)
	p.swap(i, j)
	change := p.repeats(i, j) - before
	if change > 0 {
		p.swap(i, j)
		return 0
	}
	return change
}

// vary swaps the positions of two randomly drawn trials if the result is valid.
func (p *placing) vary() {
	i, j, ok := p.drawn()
	if !ok {
		return
	}
	p.swap(i, j)
	// All other runs can only have become shorter.
	if p.runAt(i) > p.most || p.runAt(j) > p.most {
		p.swap(i, j)
	}
}

// drawn draws two trials. ok is false if swapping their positions would change
// nothing or make a target's shares uneven.
func (p *placing) drawn() (i, j int, ok bool) {
	i, j = p.r.below(len(p.order)), p.r.below(len(p.order))
	return i, j, p.at[i] != p.at[j] && p.even(i, j)
}

// even reports whether both targets would still have each position equally
// often or once more after a swap.
func (p *placing) even(i, j int) bool {
	s, t := p.order[i], p.order[j]
	if s == t {
		return true
	}
	return p.canMove(s, p.at[i], p.at[j]) && p.canMove(t, p.at[j], p.at[i])
}

func (p *placing) canMove(target, from, to int) bool {
	least := p.often[target] / p.places
	most := (p.often[target] + p.places - 1) / p.places
	return p.count[target][from] > least && p.count[target][to] < most
}

func (p *placing) swap(i, j int) {
	p.count[p.order[i]][p.at[i]]--
	p.count[p.order[j]][p.at[j]]--
	p.at[i], p.at[j] = p.at[j], p.at[i]
	p.count[p.order[i]][p.at[i]]++
	p.count[p.order[j]][p.at[j]]++
}

func (p *placing) runAt(i int) int {
	from, to := i, i
	for from > 0 && p.at[from-1] == p.at[i] {
		from--
	}
	for to+1 < len(p.at) && p.at[to+1] == p.at[i] {
		to++
	}
	return to - from + 1
}

// allRepeats returns how many trials have the position of the trial before.
func (p *placing) allRepeats() (n int) {
	for i := range p.at {
		n += p.repeatAt(i)
	}
	return n
}

// repeats returns how many repeats trials i and j are part of.
func (p *placing) repeats(i, j int) int {
	n := p.repeatAt(i) + p.repeatAt(i+1)
	if j != i+1 {
		n += p.repeatAt(j)
	}
	if j+1 != i {
		n += p.repeatAt(j + 1)
	}
	return n
}

// repeatAt returns 1 if trial i has the position of the trial before.
func (p *placing) repeatAt(i int) int {
	if i > 0 && i < len(p.at) && p.at[i] == p.at[i-1] {
		return 1
	}
	return 0
}
