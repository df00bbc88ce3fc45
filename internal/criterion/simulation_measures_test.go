package criterion

import (
	"fmt"
	"math/rand/v2"

	"newel/internal/exact"
	"newel/internal/measure"
)

// slowerTable: learners whose responses take longer from session 11 on, or do
// not.
func slowerTable(s *simulation) [][]string {
	rows := [][]string{{
		"seconds at first", "from session 11", "noise", "truly slower", "`slower` by 10 (false)", "by 13/15/20/30",
		"proposal A: by 10 (false)", "by 13/15/20/30", "proposal B: by 10 (false)", "by 13/15/20/30",
	}}
	for _, seconds := range []float64{3, 6, 12, 30} {
		for _, times := range []float64{1, 2, 3} {
			for _, sd := range []float64{0.2, 0.4} {
				hs := s.run(fmt.Sprint("slower", seconds, times, sd),
					placed{criterion: "a response within 1 second in 50 sessions in a row", sessions: 30, proposals: []rule{slowerBySeconds, slowerThanAny}},
					amounts{course: jump(seconds, seconds*times, 11), noise: noise{sd: sd}, record: latencies(10, 0.5)})
				truly := "no"
				if times > 1 {
					truly = "yes"
				}
				row := []string{fmt.Sprint(seconds), fmt.Sprintf("× %v", times), fmt.Sprint(sd), truly}
				for _, seen := range []sign{raised(Slower), proposed(0), proposed(1)} {
					row = append(row, tenth(hs.by(10, seen)), each(hs.within, seen, 13, 15, 20, 30))
				}
				rows = append(rows, row)
			}
		}
	}
	return rows
}

// latestThree returns the last three latencies and the up to five before them,
// as the rule for slower takes them.
func latestThree(e *evaluation) (rests []*judged, before, latest []measure.Value, ok bool) {
	rests = e.rated[max(0, len(e.rated)-8):]
	if len(rests) < 6 || e.yards[0].goal.Measure != Latency {
		return nil, nil, nil, false
	}
	values := plainValues(rests, 0)
	n := len(values) - 3
	return rests, values[:n], values[n:], !measure.Median(values[:n]).Over
}

// longerBy reports whether a latency is at least 1.5 times another and some
// seconds more.
func longerBy(seconds int64, v, than measure.Value) bool {
	return v.Over || !v.Number.Less(than.Number.Mul(exact.Frac(3, 2))) && !v.Number.Less(than.Number.Add(exact.Int(seconds)))
}

// slowerBySeconds is a candidate for slower: three seconds more instead of ten.
func slowerBySeconds(e *evaluation) ([]*judged, bool) {
	rests, before, latest, ok := latestThree(e)
	if !ok {
		return nil, false
	}
	middle := measure.Median(before)
	for _, v := range latest {
		if !longerBy(3, v, middle) {
			return nil, false
		}
	}
	return rests, true
}

// slowerThanAny is a candidate for slower: each of the last three is longer
// than any of those before, and their median is 1.5 times the median of those
// and two seconds more.
func slowerThanAny(e *evaluation) ([]*judged, bool) {
	rests, before, latest, ok := latestThree(e)
	if !ok || !longerBy(2, measure.Median(latest), measure.Median(before)) {
		return nil, false
	}
	for _, v := range latest {
		for _, old := range before {
			if v.Compare(old) <= 0 {
				return nil, false
			}
		}
	}
	return rests, true
}

// measured is a goal of another measure than accuracy, with the amounts of its
// learners.
type measured struct {
	name, criterion string
	from, to        float64 // of those who improve
	far, near       float64 // of those who stay level
	noises          []float64
	learner         func(course, noise) learner
}

func inAmounts(record func(*rand.Rand, float64, *Session)) func(course, noise) learner {
	return func(c course, n noise) learner { return amounts{course: c, noise: n, record: record} }
}

func inTrials(trials int, settle func(*Session, int)) func(course, noise) learner {
	return func(c course, n noise) learner {
		return answering{course: c, noise: n, trials: always(trials), settle: settle}
	}
}

var otherMeasures = []measured{
	{
		"latency, 10 trials", "a response within 5 seconds in 3 sessions in a row", 15, 3, 12, 7,
		[]float64{0.2, 0.4},
		inAmounts(latencies(10, 0.5)),
	},
	{
		"rate, 5 minutes", "8 per minute in 3 sessions in a row", 2, 10, 3, 6,
		[]float64{0.2, 0.4},
		inAmounts(responses),
	},
	{
		"duration, to be longer", "5 minutes in total in 3 sessions in a row", 60, 400, 90, 200,
		[]float64{0.2, 0.4},
		inAmounts(oneDuration),
	},
	{
		"duration, to be shorter", "at most 2 minutes in total in 3 sessions in a row", 600, 60, 480, 200,
		[]float64{0.2, 0.4},
		inAmounts(oneDuration),
	},
	{
		"intervals, 20", "80% of intervals in 3 sessions in a row", 0.15, 0.97, 0.30, 0.65,
		[]float64{0.4, 0.8},
		inTrials(20, twentyIntervals),
	},
	{
		"errors, 10 trials", "at most 2 errors in 3 sessions in a row", 0.15, 0.97, 0.30, 0.65,
		[]float64{0.4, 0.8},
		inTrials(10, nil),
	},
	{
		"first trial", "first trial correct in 3 sessions in a row", 0.15, 0.97, 0.30, 0.65,
		[]float64{0.4, 0.8},
		inTrials(10, nil),
	},
}

// measuresTable: the rules about stalls for other measures than accuracy.
func measuresTable(s *simulation) [][]string {
	rows := [][]string{{
		"goal", "noise", "ever stalled: improves soon", "over 15", "over 25", "over 40",
		"stays far, by 12/15/20/30", "stays near, by 12/15/20/30", "gets worse, by 12/15/20/30", "stays near: met within 50",
	}}
	for _, m := range otherMeasures {
		for _, sd := range m.noises {
			follow := func(name string, c course) histories {
				return s.run(fmt.Sprint(m.name, sd, name), placed{criterion: m.criterion, sessions: 50}, m.learner(c, noise{sd: sd}))
			}
			row := []string{m.name, fmt.Sprint(sd), whole(follow("soon", rising(m.from, m.to, 6, 2)).ever(stalled))}
			for _, n := range []float64{15, 25, 40} {
				row = append(row, whole(follow(fmt.Sprint("over", n), rising(m.from, m.to, 0.48*n, n/6)).ever(stalled)))
			}
			near := follow("near", levelAt(m.near))
			rows = append(rows, append(row,
				each(follow("far", levelAt(m.far)).by, stalled, 12, 15, 20, 30),
				each(near.by, stalled, 12, 15, 20, 30),
				each(follow("worse", rising(m.near, m.far, 10, 2)).within, stalled, 12, 15, 20, 30),
				whole(near.met())))
		}
	}
	return rows
}

// perTarget answers a step with several targets, each with its own course.
type perTarget struct {
	targets []string
	courses []course
	noise   noise
	trials  int // of each target
}

func (l perTarget) begin(r *rand.Rand) func(int) Session {
	deviation := l.noise.begin(r)
	return func(number int) Session {
		s, day := emptySession(number), deviation()
		for i, target := range l.targets {
			accuracy := logistic(logit(l.courses[i](number)) + day)
			for range l.trials {
				t := unprompted(r, accuracy)
				t.Target = target
				s.Trials = append(s.Trials, t)
			}
		}
		return s
	}
}

// eachTargetTable: a step with three targets, all of which must reach the goal
// in the same session.
func eachTargetTable(s *simulation) [][]string {
	rows := [][]string{{"trials of each of 3 targets", "learner", "truly stalled", "met within 50", "ever stalled", "by 12/14/15/20/30", "ever `floor`", "ever `flat`, `uneven` or `long`", "proposal: ever", "by 12/14/15/20/30"}}
	targets := []string{"cup", "spoon", "plate"}
	for _, trials := range []int{3, 5, 10} {
		for _, l := range []struct {
			name, stalled string
			courses       []course
		}{
			{"all rise soon", "no", []course{risesSoon, risesSoon, risesSoon}},
			{"all rise over 15", "no", []course{risesOver15, risesOver15, risesOver15}},
			{"all rise over 25", "no", []course{risesOver25, risesOver25, risesOver25}},
			{"one after the other, each within 8", "no", []course{rising(0.2, 0.97, 4, 1.5), rising(0.2, 0.97, 12, 1.5), rising(0.2, 0.97, 20, 1.5)}},
			{"all level at 30%", "yes", []course{levelAt(0.30), levelAt(0.30), levelAt(0.30)}},
			{"all level at 65%", "yes", []course{levelAt(0.65), levelAt(0.65), levelAt(0.65)}},
			{"two rise soon, one level at 30%", "yes", []course{risesSoon, risesSoon, levelAt(0.30)}},
		} {
			hs := s.run(fmt.Sprint("each target", trials, l.name),
				placed{criterion: inARow(80, 3) + ", each target", targets: targets, sessions: 50, proposals: []rule{stalledTogether}},
				perTarget{targets: targets, courses: l.courses, noise: noise{sd: 0.4}, trials: trials})
			rows = append(rows, []string{
				fmt.Sprint(trials), l.name, l.stalled, whole(hs.met()), whole(hs.ever(stalled)), each(hs.within, stalled, 12, 14, 15, 20, 30),
				whole(hs.ever(raised(Floor))), whole(hs.ever(raised(Flat, Uneven, Long))), whole(hs.ever(proposed(0))), each(hs.within, proposed(0), 12, 14, 15, 20, 30),
			})
		}
	}
	return rows
}

// stalledTogether is a candidate for flat, uneven and long where each target
// counts: the accuracy of all targets together is not gaining either.
func stalledTogether(e *evaluation) ([]*judged, bool) {
	sessions := latest(e.stretch, 18)
	if !e.notGaining {
		return nil, false
	}
	pooled := make([]measure.Value, len(sessions))
	for i, j := range sessions {
		pooled[i], _ = measure.Percent(j.correct, j.scored)
	}
	third := len(sessions) / 3
	return sessions, !e.yards[0].gained(measure.Mean(pooled[:third]), measure.Mean(pooled[len(pooled)-third:]))
}

// probesTable: every fifth session is a probe, and only probes count.
func probesTable(s *simulation) [][]string {
	rows := [][]string{{"trials of a probe", "learner", "truly stalled", "met within 100", "ever stalled", "by session 20/40/60/70/80/100", "that is, by probe"}}
	for _, trials := range []int{5, 10} {
		for _, l := range []struct {
			name, stalled string
			course        course
		}{
			{"level at 10%", "yes", levelAt(0.10)},
			{"level at 30%", "yes", levelAt(0.30)},
			{"level at 50%", "yes", levelAt(0.50)},
			{"falls from 70 to 30% around session 50", "yes", rising(0.70, 0.30, 50, 5)},
			{"rises over 25 sessions", "no", risesOver25},
			{"rises over 100 sessions", "no", risesOver(100)},
		} {
			hs := s.run(fmt.Sprint("probes", trials, l.name),
				placed{criterion: inARow(80, 2) + ", probes only", sessions: 100},
				answering{course: l.course, noise: noise{sd: 0.4}, trials: always(trials), settle: everyFifthAProbe})
			rows = append(rows, []string{
				fmt.Sprint(trials), l.name, l.stalled, whole(hs.met()), whole(hs.ever(stalled)),
				each(hs.within, stalled, 20, 40, 60, 70, 80, 100), "4/8/12/14/16/20",
			})
		}
	}
	return rows
}

func everyFifthAProbe(s *Session, session int) {
	if session%5 == 0 {
		s.Kind = Probe
	}
}

// stepBackTable: a program's own rule for going back a step.
func stepBackTable(s *simulation) [][]string {
	rows := [][]string{{"rule", "trials", "raised", "ever: level at 40%", "50%", "60%", "75%", "rises soon", "rises over 25", "falls to 30%, by 8/12/15/20"}}
	for _, back := range []string{"below 50% in 2 sessions in a row", "below 50% in 3 sessions in a row", "below 30% in 2 sessions in a row"} {
		for _, trials := range []int{5, 10} {
			follow := func(name string, c course) histories {
				return s.run(fmt.Sprint("step back", back, trials, name),
					placed{criterion: inARow(80, 3), stepBack: back, sessions: 30, proposals: []rule{backAfterSix, backAfterBetter}},
					answering{course: c, noise: noise{sd: 0.4}, trials: always(trials)})
			}
			var learners []histories
			for _, at := range []float64{0.40, 0.50, 0.60, 0.75} {
				learners = append(learners, follow(fmt.Sprint("level", at), levelAt(at)))
			}
			learners = append(learners, follow("soon", risesSoon), follow("over 25", risesOver25))
			falls := follow("falls", fallsToThirty)
			for _, version := range []struct {
				name string
				seen sign
			}{{"now", raised(StepBack)}, {"proposal A", proposed(0)}, {"proposal B", proposed(1)}} {
				row := []string{back, fmt.Sprint(trials), version.name}
				for _, hs := range learners {
					row = append(row, whole(hs.ever(version.seen)))
				}
				rows = append(rows, append(row, each(falls.within, version.seen, 8, 12, 15, 20)))
			}
		}
	}
	return rows
}

// backAfterSix is a candidate for step_back: only from the sixth session on.
func backAfterSix(e *evaluation) ([]*judged, bool) {
	rests, ok := e.stepsBack()
	return rests, ok && len(e.stretch) >= 6
}

// backAfterBetter is a candidate for step_back: only after as many sessions as
// the rule asks for did better earlier in the placement.
func backAfterBetter(e *evaluation) ([]*judged, bool) {
	rests, ok := e.stepsBack()
	if !ok {
		return nil, false
	}
	y, better := newYardstick(e.stepBack.Goal, e.scale, nil), 0
	for _, j := range e.stretch {
		if v, has := y.ruleValue(j.Session); has && !y.reached(v) {
			better++
		}
	}
	return rests, better >= e.stepBack.Window.Need
}
