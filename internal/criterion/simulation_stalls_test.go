package criterion

import "fmt"

// Courses of learners who rise. The middle of a logistic course is its steepest
// session.
var (
	risesSoon     = rising(0.20, 0.95, 6, 2)
	risesOver15   = risesOver(15)
	risesOver25   = risesOver(25)
	risesOver40   = risesOver(40)
	straightOver  = straightLine(0.15, 0.97, 25)
	risesLate     = rising(0.20, 0.95, 18, 2)
	risesToSixty  = rising(0.20, 0.60, 6, 2)
	fallsToThirty = rising(0.70, 0.30, 10, 2)
)

// risesOver is a course from 15 to 97 % that takes about the given number of
// sessions.
func risesOver(sessions float64) course {
	return rising(0.15, 0.97, 0.48*sessions, sessions/6)
}

func inARow(percent, sessions int) string {
	return fmt.Sprintf("%d%% independent in %d sessions in a row", percent, sessions)
}

// plan is a criterion with the number of trials and the noise of the sessions.
type plan struct {
	percent, sessions, trials int
	noise                     float64
}

// plans are the rows of the tables about stalls.
var plans = []plan{
	{80, 3, 5, 0.4},
	{80, 3, 5, 0.8},
	{80, 3, 10, 0.4},
	{80, 3, 10, 0.8},
	{80, 3, 20, 0.4},
	{80, 3, 20, 0.8},
	{80, 2, 5, 0.4},
	{80, 2, 10, 0.4},
	{80, 2, 10, 0.8},
	{80, 2, 20, 0.4},
	{90, 3, 5, 0.4},
	{90, 3, 10, 0.4},
	{90, 3, 10, 0.8},
	{90, 3, 20, 0.4},
	{100, 3, 5, 0.4},
	{100, 3, 10, 0.4},
	{100, 3, 10, 0.8},
	{100, 3, 20, 0.4},
}

func (p plan) cells() []string {
	return []string{fmt.Sprintf("%d%% × %d", p.percent, p.sessions), fmt.Sprint(p.trials), fmt.Sprint(p.noise)}
}

var planHeading = []string{"criterion", "trials", "noise"}

// follows runs the learners of one course on a plan.
func (s *simulation) follows(name string, p plan, c course) histories {
	return s.run(fmt.Sprint(name, p),
		placed{criterion: inARow(p.percent, p.sessions), sessions: 50},
		answering{course: c, noise: noise{sd: p.noise}, trials: always(p.trials)})
}

// risingTable: how often learners who are getting there are called stalled.
func risingTable(s *simulation) [][]string {
	rows := [][]string{append(planHeading[:3:3], "soon", "over 15", "over 25", "over 40", "straight 25", "late", "weekly: soon / 25 / 40 / late")}
	for _, p := range plans {
		soon, late := s.follows("soon", p, risesSoon), s.follows("late", p, risesLate)
		over25, over40 := s.follows("over 25", p, risesOver25), s.follows("over 40", p, risesOver40)
		rows = append(rows, append(p.cells(),
			whole(soon.ever(stalled)), whole(s.follows("over 15", p, risesOver15).ever(stalled)),
			whole(over25.ever(stalled)), whole(over40.ever(stalled)),
			whole(s.follows("straight 25", p, straightOver).ever(stalled)), whole(late.ever(stalled)),
			list(soon.weekly(stalled), over25.weekly(stalled), over40.weekly(stalled), late.weekly(stalled))))
	}
	return rows
}

// levelTable: how soon learners who need a look are found.
func levelTable(s *simulation) [][]string {
	rows := [][]string{append(planHeading[:3:3], "level 30% by 10/12/15/20", "50% by 10/12/15/20", "65% by 10/12/15/20", "75% by 15/20",
		"rises to 60% and stays, by 20/25/30", "falls, by 12/15/20")}
	for _, p := range plans {
		rows = append(rows, append(p.cells(),
			each(s.follows("level 30", p, levelAt(0.30)).by, stalled, 10, 12, 15, 20),
			each(s.follows("level 50", p, levelAt(0.50)).by, stalled, 10, 12, 15, 20),
			each(s.follows("level 65", p, levelAt(0.65)).by, stalled, 10, 12, 15, 20),
			each(s.follows("level 75", p, levelAt(0.75)).by, stalled, 15, 20),
			each(s.follows("to 60", p, risesToSixty).by, stalled, 20, 25, 30),
			each(s.follows("falls", p, fallsToThirty).by, stalled, 12, 15, 20)))
	}
	return rows
}

// conditionsTable: the same with other noise and other numbers of trials.
func conditionsTable(s *simulation) [][]string {
	rows := [][]string{{
		"80% × 3 with", "soon", "over 15", "over 25", "straight 25", "late",
		"level 30% by 12/15/20", "level 50%", "level 65%",
	}}
	for _, c := range []struct {
		name   string
		trials between
		noise  noise
	}{
		{"4 to 12 trials, noise 0.4", between{4, 12}, noise{sd: 0.4}},
		{"4 to 12 trials, noise 0.8", between{4, 12}, noise{sd: 0.8}},
		{"10 trials, noise 0.8 that carries over (correlation 0.6)", always(10), noise{sd: 0.8, carries: 0.6}},
		{"10 trials, no noise", always(10), noise{}},
		{"3 trials, noise 0.4", always(3), noise{sd: 0.4}},
	} {
		follow := func(name string, by course) histories {
			return s.run(c.name+name, placed{criterion: inARow(80, 3), sessions: 50}, answering{course: by, noise: c.noise, trials: c.trials})
		}
		row := []string{c.name}
		for _, by := range []course{risesSoon, risesOver15, risesOver25, straightOver, risesLate} {
			row = append(row, whole(follow(fmt.Sprint("rises", len(row)), by).ever(stalled)))
		}
		for _, at := range []float64{0.30, 0.50, 0.65} {
			row = append(row, each(follow(fmt.Sprint("level", at), levelAt(at)).by, stalled, 12, 15, 20))
		}
		rows = append(rows, row)
	}
	return rows
}

// closeTable: nearly perfect learners under a goal that allows no error.
func closeTable(s *simulation) [][]string {
	rows := [][]string{{"100% × 3, trials", "learner", "met within 50", "ever `close`", "ever stalled", "`close` by 12/15/20", "stalled by 12/15/20"}}
	for _, trials := range []int{5, 10, 20} {
		p := plan{100, 3, trials, 0.4}
		for _, l := range []struct {
			name string
			course
		}{
			{"rises soon", risesSoon},
			{"level at 97%", levelAt(0.97)},
			{"level at 95%", levelAt(0.95)},
			{"level at 90%", levelAt(0.90)},
			{"level at 85%", levelAt(0.85)},
		} {
			hs := s.follows("close "+l.name, p, l.course)
			rows = append(rows, []string{
				fmt.Sprint(trials), l.name, whole(hs.met()), whole(hs.ever(raised(Close))), whole(hs.ever(stalled)),
				each(hs.within, raised(Close), 12, 15, 20), each(hs.within, stalled, 12, 15, 20),
			})
		}
	}
	return rows
}
