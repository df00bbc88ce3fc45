package reading

import (
	"strconv"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
)

// LearnerDay is one learner's day.
type LearnerDay struct {
	Learner  newel.Learner
	Next     *Taught  // nil if there is nothing to do
	Others   []Taught // others that may be started
	Resting  []Taught // paused after a no, until the clinic lifts the pause
	Paused   []Taught // by the clinic
	Finished []Taught // the last placement of each, newest first
}

// TodayOf groups what is taught by learner, least recently taught first, and
// what is paused or finished besides. Missed days do not matter.
func TodayOf(rows, besides []Taught) []LearnerDay {
	var days []LearnerDay
	dayOf := func(row Taught) *LearnerDay {
		for i := range days {
			if days[i].Learner.ID == row.LearnerID {
				return &days[i]
			}
		}
		days = append(days, LearnerDay{Learner: row.Learner()})
		return &days[len(days)-1]
	}
	for _, row := range rows {
		l := dayOf(row)
		switch {
		case row.State == newel.AssignmentResting:
			l.Resting = append(l.Resting, row)
		case l.Next == nil:
			l.Next = &row
		default:
			l.Others = append(l.Others, row)
		}
	}
	for _, row := range besides {
		l := dayOf(row)
		if row.State == newel.AssignmentPaused {
			l.Paused = append(l.Paused, row)
		} else {
			l.Finished = append(l.Finished, row)
		}
	}
	return days
}

// ProgramOf returns a paused or finished program as a phone lists it.
func ProgramOf(t Taught) program.DayProgram {
	o := OfferOf(t, program.SessionTally{}, "")
	p := program.DayProgram{Assignment: o.Assignment, Placement: o.Placement, Title: o.Title, Role: o.Role, Step: o.Step, Steps: o.Steps, Here: o.Here}
	if t.State == newel.AssignmentPaused {
		if t.LastDecision == newel.DecisionPause {
			p.Until = t.Until
		}
		return p
	}
	p.On = newel.DayOf(*t.EndedAt, timezone.OrUTC(t.TimeZone))
	if p.Learned = t.LastDecision == newel.DecisionAdvance; p.Learned {
		p.Here = len(p.Steps)
	}
	return p
}

// SessionOf returns one of today's sessions as a phone lists it.
func SessionOf(s newel.DaySession) program.DaySession {
	out := program.DaySession{
		ID: s.ID, Assignment: s.AssignmentID, Placement: s.PlacementID, Title: s.Program, Role: s.Role, Kind: string(s.Of.Kind),
		ByName: s.ByName, Began: s.StartedAt, Ended: s.EndedAt, Afterwards: s.Afterwards, Stopped: s.Distress, Trials: s.Trials,
		Marks: []string{}, Count: s.Of.Count, Intervals: s.Of.Intervals,
	}
	for i := range s.Of.Trials {
		if t := &s.Of.Trials[i]; !t.Void {
			out.Marks = append(out.Marks, markName(t, s.HelpLevels))
		}
	}
	if s.Of.DurationsS != nil {
		total := totalSeconds(s.Of.DurationsS)
		out.Seconds = &total
	}
	return out
}

// markName returns a try's mark by the name that the phone's pages give it.
func markName(t *measure.Trial, levels []string) string {
	switch {
	case t.Outcome == measure.Incorrect:
		return "not_yet"
	case t.Outcome != measure.Correct:
		return string(t.Outcome)
	case t.Help == "":
		return "alone"
	}
	rank, _ := measure.Scale(levels).Rank(t.Help)
	return "help-" + strconv.Itoa(max(1, min(rank, 4)))
}

// totalSeconds returns the sum of durations in whole seconds, rounded down.
func totalSeconds(durations []exact.Rat) int64 {
	var sum exact.Rat
	for _, d := range durations {
		sum = sum.Add(d)
	}
	return int64(sum.Float64())
}

// freshDays is how many days back the later of a fact's two days may be.
const freshDays = 7

// FactOf returns something encouraging that the records say about a learner: an
// early session of a step in which tries needed help, beside a late one with
// tries that needed none; or the last two steps learned. The fact with the
// newest day wins. It is nil if the records say neither, or nothing new.
func FactOf(sessions []newel.DaySession, learned []newel.LearnedStep, today newel.Day) *program.DayFact {
	var best *program.DayFact
	consider := func(f *program.DayFact) {
		if f == nil || !f.WasOn.Before(f.NowOn) || today.Sub(f.NowOn) > freshDays {
			return
		}
		if best == nil || best.NowOn.Before(f.NowOn) {
			best = f
		}
	}
	if n := len(learned); n >= 2 {
		was, now := learned[n-2], learned[n-1]
		consider(&program.DayFact{Kind: "learned", Title: now.Program, WasStep: was.StepName, WasOn: was.On, NowStep: now.StepName, NowOn: now.On})
	}
	for len(sessions) > 0 {
		at := sessions[0].PlacementID
		var step, rest []newel.DaySession
		for _, s := range sessions {
			if s.PlacementID == at {
				step = append(step, s)
			} else {
				rest = append(rest, s)
			}
		}
		consider(helpFact(step))
		sessions = rest
	}
	return best
}

// helpFact compares the first session of a step in which no try went without
// help, and some with, with the last one in which some went without.
func helpFact(step []newel.DaySession) *program.DayFact {
	was, now := -1, -1
	for i, s := range step {
		alone, helped, _ := tries(s)
		if was < 0 && alone == 0 && helped > 0 {
			was = i
		}
		if alone > 0 {
			now = i
		}
	}
	if was < 0 || now <= was {
		return nil
	}
	f := program.DayFact{
		Kind: "help", Title: step[was].Program, WasStep: step[was].StepName, WasOn: step[was].LocalDate, NowStep: step[now].StepName, NowOn: step[now].LocalDate,
	}
	_, f.WasN, f.WasOf = tries(step[was])
	f.NowN, _, f.NowOf = tries(step[now])
	return &f
}

// tries counts a session's scored tries, and those that were right without and
// with help.
func tries(s newel.DaySession) (alone, helped, scored int) {
	for i := range s.Of.Trials {
		t := &s.Of.Trials[i]
		if !t.Scored() {
			continue
		}
		scored++
		switch {
		case t.Outcome != measure.Correct:
		case t.Help == "":
			alone++
		default:
			helped++
		}
	}
	return alone, helped, scored
}
