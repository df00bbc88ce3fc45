package criterion

import (
	"fmt"
	"math/rand/v2"
)

// The caseload: placements of 60 learners with eight programs each, counted
// after a warm-up that lets the first placements end.
const (
	caseloadPlacements = 480
	caseloadWarmUp     = 12 // weeks
	caseloadWeeks      = 52
)

// week counts what a supervisor is shown in one look at one placement.
type week struct {
	falseSoon, falseSteady, trueRows, almostThere, met, metLevel int
}

// kindOfLearner is what the supervisor does not know.
type kindOfLearner int

const (
	levelLearner kindOfLearner = iota
	steadyLearner
	soonLearner
)

// caseloadTable: how many rows a week ask a supervisor to look, rightly and
// wrongly.
func caseloadTable(s *simulation) [][]string {
	rows := [][]string{{"sessions a week", "criterion", "trials", "false rows a week (soon + steady)", "true rows a week", "`close`, once", "met a week", "of them level"}}
	for _, perWeek := range []int{5, 3} {
		for _, p := range []plan{
			{80, 3, 10, 0.4}, {80, 3, 5, 0.4}, {80, 3, 20, 0.4}, {90, 3, 10, 0.4}, {100, 3, 5, 0.4}, {100, 3, 10, 0.4}, {100, 3, 20, 0.4},
		} {
			var sum week
			for i := range s.learners {
				s.workplace(&sum, i, perWeek, p)
			}
			rate := func(n int) string {
				return tenth(float64(n) * caseloadPlacements / float64(s.learners*caseloadWeeks))
			}
			rows = append(rows, append(append([]string{fmt.Sprint(perWeek)}, p.cells()[:2]...),
				fmt.Sprintf("%s (%s + %s)", rate(sum.falseSoon+sum.falseSteady), rate(sum.falseSoon), rate(sum.falseSteady)),
				rate(sum.trueRows), rate(sum.almostThere), rate(sum.met), rate(sum.metLevel)))
		}
	}
	return rows
}

// workplace follows one of the caseload's places: when a criterion is met, the
// next placement begins with the next session. A level learner who is shown
// stalled is taught differently, which also begins a new placement. Others go
// on and are shown again as long as the flag stays.
func (s *simulation) workplace(sum *week, number, perWeek int, p plan) {
	r := generator(fmt.Sprint("caseload", perWeek, p), number)
	place := placed{criterion: inARow(p.percent, p.sessions)}
	kind, now := s.begins(r, place, p)
	day := r.IntN(perWeek) // the first placement began on any day of the week
	for session := day; session < perWeek*(caseloadWarmUp+caseloadWeeks); session++ {
		count := *sum
		l := now.teach()
		if l.met {
			count.met++
			if kind == levelLearner {
				count.metLevel++
			}
			kind, now = s.begins(r, place, p)
		} else if (session+1)%perWeek == 0 {
			if l.flags&flagsOf(Close) != 0 && !now.close {
				now.close = true
				count.almostThere++
			}
			if l.stalled {
				switch kind {
				case levelLearner:
					count.trueRows++
					kind, now = s.begins(r, place, p)
				case steadyLearner:
					count.falseSteady++
				case soonLearner:
					count.falseSoon++
				}
			}
		}
		if session >= perWeek*caseloadWarmUp {
			*sum = count
		}
		if number < fingerprinted {
			s.remember(history{looks: []look{l}})
		}
	}
}

// begins draws the learner of a new placement: 15 % level, a quarter of the
// others steady.
func (s *simulation) begins(r *rand.Rand, place placed, p plan) (kindOfLearner, *teaching) {
	l := answering{noise: noise{sd: p.noise}, trials: always(p.trials)}
	kind := soonLearner
	switch draw := r.Float64(); {
	case draw < 0.15:
		kind, l.course = levelLearner, levelAt(0.35+0.30*r.Float64())
	case draw < 0.15+0.85/4:
		kind, l.course = steadyLearner, risesOver25
	default:
		l.course = risesSoon
	}
	now, err := place.start(l.begin(r))
	if err != nil {
		s.t.Fatal(err)
	}
	return kind, now
}
