package criterion

import (
	"fmt"

	"newel/internal/exact"
	"newel/internal/measure"
)

// helpBoundTable: learners who are correct with help in nearly every trial.
// Some of them never become independent, the others do.
func helpBoundTable(s *simulation) [][]string {
	rows := [][]string{{
		"trials", "independent", "truly bound to help", "ever `help_bound`", "by 6/8/10/12/15/20",
		"proposal A: ever", "by 6/8/10/12/15/20", "proposal B: ever", "by 6/8/10/12/15/20",
	}}
	for _, trials := range []int{5, 10, 20} {
		for _, l := range []struct {
			name, bound string
			course      course
		}{
			{"level at 20%", "yes", levelAt(0.20)},
			{"level at 40%", "yes", levelAt(0.40)},
			{"level at 60%", "yes", levelAt(0.60)},
			{"rises soon", "no", risesSoon},
			{"rises over 15", "no", risesOver15},
			{"rises over 25", "no", risesOver25},
			{"rises over 40", "no", risesOver40},
		} {
			hs := s.run(fmt.Sprint("help bound", trials, l.name),
				placed{criterion: inARow(80, 3), sessions: 50, proposals: []rule{boundByHalves, boundByThirds}},
				answering{course: l.course, noise: noise{sd: 0.4}, trials: always(trials), trial: prompted(0.98)})
			row := []string{fmt.Sprint(trials), l.name, l.bound}
			for _, seen := range []sign{raised(HelpBound), proposed(0), proposed(1)} {
				row = append(row, whole(hs.ever(seen)), each(hs.within, seen, 6, 8, 10, 12, 15, 20))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// boundToHelp is help_bound without its question about the trend: in each of
// the sessions nearly all was correct with help, and none qualifies.
func (e *evaluation) boundToHelp(list []*judged) bool {
	if !e.plainAccuracy() || e.criterion.Goal.Level != "" || e.plannedHelp() || anyQualifies(list) {
		return false
	}
	for _, j := range list {
		helped, scored := measure.Tally(j.Trials, e.scale, len(e.scale))
		if helped*10 < scored*9 || helped == j.correct {
			return false
		}
	}
	return true
}

// boundByHalves is a candidate for help_bound: eight sessions, of which the
// later four are less than 10 points better than the four before.
func boundByHalves(e *evaluation) ([]*judged, bool) {
	eight := latest(e.stretch, 8)
	if len(eight) < 8 || !e.boundToHelp(eight) {
		return nil, false
	}
	values := ruleValues(eight, 0)
	earlier, later := measure.Mean(values[:4]), measure.Mean(values[4:])
	return eight, e.yards[0].lead(later, earlier).Less(exact.Int(10))
}

// boundByThirds is a candidate for help_bound: its six sessions, and not
// gaining, as for flat.
func boundByThirds(e *evaluation) ([]*judged, bool) {
	six := latest(e.stretch, 6)
	return six, len(six) == 6 && e.boundToHelp(six) && e.notGaining
}

// helpStuckTable: learners with a planned model. They are ready for less help
// if their true accuracy with it is 90 % or more.
func helpStuckTable(s *simulation) [][]string {
	rows := [][]string{{
		"trials", "correct with the planned help", "truly ready", "ever `help_stuck`", "by 6/8/10/12/15/20",
		"proposal A: ever", "by 6/8/10/12/15/20", "proposal B: ever", "by 6/8/10/12/15/20",
	}}
	for _, trials := range []int{5, 8, 10, 20} {
		for _, l := range []struct {
			name, ready string
			course      course
		}{
			{"level at 70%", "no", levelAt(0.70)},
			{"level at 80%", "no", levelAt(0.80)},
			{"level at 85%", "nearly", levelAt(0.85)},
			{"level at 90%", "yes", levelAt(0.90)},
			{"level at 95%", "yes", levelAt(0.95)},
			{"level at 98%", "yes", levelAt(0.98)},
			{"rises soon to 98%", "yes, from session 10", rising(0.30, 0.98, 6, 2)},
		} {
			hs := s.run(fmt.Sprint("help stuck", trials, l.name),
				placed{criterion: inARow(80, 3), sessions: 30, proposals: []rule{readyBySix, readyByEight}},
				answering{course: l.course, noise: noise{sd: 0.4}, trials: always(trials), trial: mostlyPrompted(0.20), settle: planningModel})
			row := []string{fmt.Sprint(trials), l.name, l.ready}
			for _, seen := range []sign{raised(HelpStuck), proposed(0), proposed(1)} {
				row = append(row, whole(hs.ever(seen)), each(hs.within, seen, 6, 8, 10, 12, 15, 20))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// readyWithin is a candidate for help_stuck: with the planned help, 90 % of all
// trials of the last sessions are correct together, instead of in each session.
func readyWithin(e *evaluation, sessions int) ([]*judged, bool) {
	list := latest(e.stretch, sessions)
	if !e.plainAccuracy() || e.criterion.Goal.Level != "" || !e.plannedHelp() || len(list) < sessions || anyQualifies(list) {
		return nil, false
	}
	planned, _ := e.scale.Rank(last(list).PlannedHelp)
	correct, scored := 0, 0
	for _, j := range list {
		c, n := measure.Tally(j.Trials, e.scale, planned)
		correct, scored = correct+c, scored+n
	}
	return list, correct*10 >= scored*9
}

func readyBySix(e *evaluation) ([]*judged, bool)   { return readyWithin(e, 6) }
func readyByEight(e *evaluation) ([]*judged, bool) { return readyWithin(e, 8) }

// plannedHelpTable: the rules about stalls under planned help, also when the
// plan changes every few sessions while the learner stays where they are.
func plannedHelpTable(s *simulation) [][]string {
	rows := [][]string{{
		"plan", "correct with the planned help", "truly stalled", "ever `flat`, `uneven` or `long`", "by 12/15/20/30/50", "ever `long`",
		"ever `floor` or `falling`", "ever `help_stuck`", "proposal: ever", "by 12/15/20/30/50",
	}}
	for _, plan := range []struct {
		name    string
		changes func(*Session, int)
	}{
		{"a model throughout", planningModel},
		{"changes every 20 sessions", changingPlans(20)},
		{"every 12", changingPlans(12)},
		{"every 10", changingPlans(10)},
		{"every 6", changingPlans(6)},
	} {
		for _, l := range []struct {
			name, stalled string
			course        course
		}{
			{"level at 20%", "yes", levelAt(0.20)},
			{"level at 50%", "yes", levelAt(0.50)},
			{"level at 75%", "yes", levelAt(0.75)},
			{"rises over 25", "no", risesOver25},
		} {
			hs := s.underPlan(plan.name+l.name, answering{course: l.course, trial: mostlyPrompted(0.20), settle: plan.changes})
			rows = append(rows, plannedHelpRow(plan.name, l.name, l.stalled, hs))
		}
	}
	hs := s.underPlan("fading", answering{course: levelAt(0.88), trial: mostlyPrompted(0.20), settle: fading})
	return append(rows, plannedHelpRow("less help every 8 sessions", "level at 88%", "no", hs))
}

func (s *simulation) underPlan(kind string, l answering) histories {
	l.noise, l.trials = noise{sd: 0.4}, always(10)
	return s.run("planned help "+kind, placed{criterion: inARow(80, 3), sessions: 50, proposals: []rule{stalledAcrossPlans}}, l)
}

func plannedHelpRow(plan, name, truly string, hs histories) []string {
	gains := raised(Flat, Uneven, Long)
	return []string{
		plan, name, truly, whole(hs.ever(gains)), each(hs.within, gains, 12, 15, 20, 30, 50), whole(hs.ever(raised(Long))),
		whole(hs.ever(raised(Floor, Falling))), whole(hs.ever(raised(HelpStuck))),
		whole(hs.ever(proposed(0))), each(hs.within, proposed(0), 12, 15, 20, 30, 50),
	}
}

func planningModel(s *Session, _ int) { s.PlannedHelp = "model" }

// changingPlans plans a model and a partial physical prompt by turns. Learners
// under planned help need at most a model.
func changingPlans(every int) func(*Session, int) {
	return func(s *Session, session int) {
		s.PlannedHelp = []string{"model", "partial physical"}[(session-1)/every%2]
	}
}

// fading plans less help every eight sessions, down to none. What the learner
// cannot do without help, they do with the help that is planned, but never
// with less.
func fading(s *Session, session int) {
	if session > 24 {
		s.PlannedHelp = ""
	} else {
		s.PlannedHelp = []string{"partial physical", "model", "gesture"}[(session-1)/8]
	}
	for i := range s.Trials {
		if s.Trials[i].Help != "" {
			s.Trials[i].Help = s.PlannedHelp
		}
	}
}

// stalledAcrossPlans is a candidate beside long: from 20 counted sessions on,
// over the latest 18 whatever help they planned, the help is no less than it
// was, neither what was right with the planned help nor what was right without
// any is gaining, and the former is below 90 %.
func stalledAcrossPlans(e *evaluation) ([]*judged, bool) {
	sessions := latest(e.rated, 18)
	if len(e.counted) < e.long || e.latestQualifies() || len(sessions) < 14 {
		return nil, false
	}
	third := len(sessions) / 3
	if e.mostPlanned(sessions[len(sessions)-third:]) < e.mostPlanned(sessions[:third]) {
		return nil, false
	}
	for _, values := range [][]measure.Value{ruleValues(sessions, 0), plainValues(sessions, 0)} {
		if e.yards[0].gained(measure.Mean(values[:third]), measure.Mean(values[len(values)-third:])) {
			return nil, false
		}
	}
	return sessions, measure.Mean(ruleValues(latest(sessions, 4), 0)).Number.Less(exact.Int(90))
}

// mostPlanned returns the rank of the most help that the sessions planned.
func (e *evaluation) mostPlanned(sessions []*judged) (most int) {
	for _, j := range sessions {
		rank, _ := e.scale.Rank(j.PlannedHelp)
		most = max(most, rank)
	}
	return most
}
