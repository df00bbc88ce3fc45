package criterion

import (
	"fmt"
	"math/rand/v2"

	"newel/internal/exact"
)

// luckTable compares the odds that the editor tells an author, for a learner
// whose accuracy is the same in every session, with learners who have good and
// bad days.
func luckTable(s *simulation) [][]string {
	rows := [][]string{{
		"criterion", "trials", "20 points below: told, within 10", "noise 0", "0.4", "0.8", "0.8 that carries over",
		"learned: told, within 10", "noise 0", "0.4", "0.8", "0.8 that carries over",
	}}
	for _, p := range []plan{
		{percent: 80, sessions: 2, trials: 5},
		{percent: 80, sessions: 3, trials: 5},
		{percent: 80, sessions: 3, trials: 6},
		{percent: 80, sessions: 3, trials: 10},
		{percent: 90, sessions: 2, trials: 10},
		{percent: 90, sessions: 3, trials: 5},
		{percent: 100, sessions: 3, trials: 3},
		{percent: 100, sessions: 3, trials: 10},
	} {
		row := p.cells()[:2]
		for _, percent := range []int{p.percent - 20, min(95, p.percent+10)} {
			row = append(row, tenth(s.oddsOf(p, percent)))
			for _, n := range []noise{{}, {sd: 0.4}, {sd: 0.8}, {sd: 0.8, carries: 0.6}} {
				hs := s.run(fmt.Sprint("luck", p, percent, n), placed{criterion: inARow(p.percent, p.sessions), sessions: 10},
					answering{course: levelAt(float64(percent) / 100), noise: n, trials: always(p.trials)})
				row = append(row, tenth(hs.met()))
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// oddsOf is the exact probability of meeting the plan's criterion within 10
// sessions, in percent.
func (s *simulation) oddsOf(p plan, percent int) float64 {
	odds, err := Odds(OddsQuestion{
		Criterion: inARow(p.percent, p.sessions), Trials: p.trials,
		Accuracy: []exact.Rat{exact.Frac(int64(percent), 100)}, Sessions: []int{10},
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return 100 * odds.Rows[0].Within[0]
}

// population draws the course of one learner from a mixed caseload.
type population func(r *rand.Rand) course

// mixed: 15 % of the learners are level, 25 % rise over 25 sessions, 60 % rise
// soon.
func mixed(r *rand.Rand) course { return mixture(r, 0.15, 0.25) }

// manyLevel: 60 % of the learners are level.
func manyLevel(r *rand.Rand) course { return mixture(r, 0.60, 0.12) }

func mixture(r *rand.Rand, level, steady float64) course {
	switch kind := r.Float64(); {
	case kind < level:
		return levelAt(0.35 + 0.30*r.Float64())
	case kind < level+steady:
		return risesOver25
	}
	return risesSoon
}

// evidenceTable: of the learners who met the criterion, how many truly are
// within ten points of the goal, by what the reading says of the evidence.
func evidenceTable(s *simulation) [][]string {
	rows := [][]string{{"caseload", "criterion", "trials", "met", "thin: learners, truly within 10 points", "fair", "good"}}
	for _, caseload := range []struct {
		name string
		population
	}{{"mixed", mixed}, {"many level", manyLevel}} {
		for _, p := range []plan{
			{80, 2, 5, 0.4},
			{80, 3, 5, 0.4},
			{80, 3, 6, 0.4},
			{80, 3, 10, 0.4},
			{90, 2, 10, 0.4},
			{100, 3, 2, 0.4},
			{100, 3, 5, 0.4},
			{100, 2, 8, 0.4},
		} {
			rows = append(rows, s.evidenceRow(caseload.name, caseload.population, p))
		}
	}
	return rows
}

func (s *simulation) evidenceRow(name string, draw population, p plan) []string {
	type tally struct{ met, truly int }
	seen := map[Strength]tally{}
	learners, met := 4*s.learners, 0
	for i := range learners {
		r := generator(fmt.Sprint("evidence ", name, p), i)
		course := draw(r)
		h := s.follow(i, placed{criterion: inARow(p.percent, p.sessions), sessions: 50},
			answering{course: course, noise: noise{sd: p.noise}, trials: always(p.trials)}, r)
		if !h.met() {
			continue
		}
		met++
		strength := h.end.evidence().Strength
		n := seen[strength]
		n.met++
		if 100*course(len(h.looks)) >= float64(p.percent-10) {
			n.truly++
		}
		seen[strength] = n
	}
	row := append([]string{name}, p.cells()[:2]...)
	row = append(row, whole(percentOf(met, learners)))
	for _, strength := range []Strength{Thin, Fair, Good} {
		n := seen[strength]
		cell := "–"
		if n.met > 0 {
			cell = fmt.Sprintf("%d, %s", n.met, whole(percentOf(n.truly, n.met)))
		}
		row = append(row, cell)
	}
	return row
}

// told compares what an estimate says of one session with the session that
// follows.
type told struct {
	sum   float64
	looks int
	came  int
}

// toldEdges are the upper edges of the bins of the table about one session.
var toldEdges = []float64{0.05, 0.20, 0.40, 0.60, 0.80, 1.01}

// oneSessionTable: how often the next session reaches the goal, by what
// the estimate says.
func oneSessionTable(s *simulation) [][]string {
	rows := [][]string{{"criterion", "trials", "looks", "told below 5: mean told, seen", "5–20", "20–40", "40–60", "60–80", "above 80"}}
	for _, p := range []plan{{80, 3, 10, 0.4}, {80, 3, 5, 0.4}, {100, 3, 10, 0.4}} {
		open, flagged := s.oneSession(p)
		rows = append(rows, toldRow(p, "all", open), toldRow(p, "no progress", flagged))
	}
	return rows
}

func (s *simulation) oneSession(p plan) (open, flagged [6]told) {
	for i := range s.learners {
		r := generator(fmt.Sprint("one session", p), i)
		var before float64
		var had, stuck bool
		place := placed{criterion: inARow(p.percent, p.sessions), sessions: 40}
		place.sees = func(e *evaluation) {
			if had {
				open[binOf(before)].add(before, e.latestQualifies())
				if stuck {
					flagged[binOf(before)].add(before, e.latestQualifies())
				}
			}
			estimate := e.estimate()
			if had = estimate != nil && estimate.Session != nil && e.met < 0; had {
				before = *estimate.Session
				stuck = place.look(e).flags&flagsOf(Flat, Uneven, Long) != 0
			}
		}
		s.follow(i, place, answering{course: mixed(r), noise: noise{sd: p.noise}, trials: always(p.trials)}, r)
	}
	return open, flagged
}

func binOf(probability float64) int {
	for i, edge := range toldEdges {
		if probability < edge {
			return i
		}
	}
	return len(toldEdges) - 1
}

func (t *told) add(probability float64, came bool) {
	t.sum += probability
	t.looks++
	if came {
		t.came++
	}
}

func toldRow(p plan, looks string, bins [6]told) []string {
	row := append(p.cells()[:2], looks)
	for _, b := range bins {
		cell := "–"
		if b.looks >= 30 {
			cell = fmt.Sprintf("%s, %s", whole(100*b.sum/float64(b.looks)), whole(percentOf(b.came, b.looks)))
		}
		row = append(row, cell)
	}
	return row
}
