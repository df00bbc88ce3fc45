package criterion

import (
	"fmt"
	"math"
	"testing"
)

// boundLearners is how many learners of each kind the bounds are tested with:
// enough for standard errors of 2.5 points, against bounds that leave more.
const boundLearners = 400

// TestSimulationBounds guards what the rules promise: learners who are getting
// there are left alone, and those who are not are found.
func TestSimulationBounds(t *testing.T) {
	t.Parallel()
	ever := func(hs histories) float64 { return hs.ever(stalled) }
	by := func(session int) func(histories) float64 {
		return func(hs histories) float64 { return hs.by(session, stalled) }
	}
	for _, b := range []struct {
		name            string
		percent         int
		course          course
		figure          func(histories) float64
		atLeast, atMost float64
	}{
		{"rises soon, ever stalled", 80, risesSoon, ever, 0, 5},
		{"rises over 15, ever stalled", 80, risesOver15, ever, 0, 5},
		{"rises over 25, ever stalled", 80, risesOver25, ever, 0, 18},
		{"level at 30%, found by 12", 80, levelAt(0.30), by(12), 75, 100},
		{"level at 30%, found by 15", 80, levelAt(0.30), by(15), 88, 100},
		{"level at 50%, found by 15", 80, levelAt(0.50), by(15), 84, 100},
		{"rises to 60% and stays, found by 25", 80, risesToSixty, by(25), 75, 100},
		{"falls from 70 to 30%, found by 15", 80, fallsToThirty, by(15), 95, 100},
		{"100%: rises soon, ever stalled", 100, risesSoon, ever, 0, 12},
	} {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			s := &simulation{t: t, learners: boundLearners}
			got := b.figure(s.follows("bound "+b.name, plan{b.percent, 3, 10, 0.4}, b.course))
			if got < b.atLeast || got > b.atMost {
				t.Errorf("%.1f%%, want %v to %v%%", got, b.atLeast, b.atMost)
			}
		})
	}
}

// TestSimulationBoundsForPeople guards differs_by_person: a handover while the
// learner rises is no difference between people, and a real one is found.
func TestSimulationBoundsForPeople(t *testing.T) {
	t.Parallel()
	for _, b := range []struct {
		name            string
		course          course
		people          people
		atLeast, atMost float64
	}{
		{"handover around session 6 while the learner rises soon", risesSoon, handover(4, 9), 0, 6},
		{"two who differ by 1.5 logits, in turn", levelAt(0.60), inTurn(-1.5), 88, 100},
	} {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			s := &simulation{t: t, learners: boundLearners}
			hs := s.run("bound "+b.name, placed{criterion: neverMet, sessions: 30},
				answering{course: b.course, noise: noise{sd: 0.4}, trials: always(10), people: b.people})
			if got := hs.ever(raised(DiffersByPerson)); got < b.atLeast || got > b.atMost {
				t.Errorf("%.1f%%, want %v to %v%%", got, b.atLeast, b.atMost)
			}
		})
	}
}

// TestSimulatedLearnersAgreeWithOdds checks the simulation itself: without
// noise, learners meet a criterion as often as the exact odds say.
func TestSimulatedLearnersAgreeWithOdds(t *testing.T) {
	t.Parallel()
	s := &simulation{t: t, learners: 1000}
	for _, p := range []plan{{percent: 80, sessions: 2, trials: 5}, {percent: 80, sessions: 3, trials: 10}, {percent: 100, sessions: 3, trials: 3}} {
		for _, percent := range []int{60, 80, 90} {
			hs := s.run(fmt.Sprint("odds", p, percent), placed{criterion: inARow(p.percent, p.sessions), sessions: 10},
				answering{course: levelAt(float64(percent) / 100), trials: always(p.trials)})
			want := s.oddsOf(p, percent)
			// Four standard errors, and one learner for where that is nothing.
			if got, off := hs.met(), 4*math.Sqrt(want*(100-want)/1000)+0.1; math.Abs(got-want) > off {
				t.Errorf("%v at %d%%: %.1f%% met within 10 sessions, the odds say %.1f ± %.1f", p, percent, got, want, off)
			}
		}
	}
}
