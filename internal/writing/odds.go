package writing

import (
	"math"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/program"
)

// A guesser should hardly ever pass: in at most this share of cases within this
// many sessions. The share is the threshold at which answers count as guesses,
// the number of sessions the one after which a step counts as long.
const (
	guessLimit    = 0.05
	guessSessions = criterion.DefaultLong
	// longestRun bounds what a fix proposes; more consecutive sessions wear out
	// a child who has learned the skill.
	longestRun = 6
)

// criterion checks a step's criterion, if it is valid.
func (r *reviewer) criterion(s *program.Step) {
	c, err := criterion.Parse(s.Criterion, r.d.Vocabulary(s))
	if err != nil || !s.Measure.ByTrial() || !c.Goal.Measure.OnTrials() {
		return
	}
	field := program.StepField(s.Key, "criterion")
	r.luck(s, c, field)
	if s.Trials < 1 {
		return
	}
	if c.Trials == 0 {
		with := c
		with.Trials = minTrials(s, c)
		r.look(&Fix{ID: "ask_trials", Field: field, Value: with.String()}, field, "check.no_trials_minimum", "trials", with.Trials)
	}
	r.plannedHelp(s, c, field)
	r.guesser(s, c, field)
}

// minTrials returns the minimum number of trials that the criterion can count
// on: those planned, or with "each target" each target's share of them.
func minTrials(s *program.Step, c criterion.Criterion) int {
	n := len(s.Targets)
	if s.AtOnce > 0 {
		n = min(s.AtOnce, n)
	}
	if !c.EachTarget || n == 0 {
		return s.Trials
	}
	return max(s.Trials/n, 1)
}

// plannedHelp reports a step that can never be done independently, because
// every trial starts with a prompt that no rule fades.
func (r *reviewer) plannedHelp(s *program.Step, c criterion.Criterion, field string) {
	p := r.d.Procedure
	if s.PlannedHelp == "" || c.Goal.Measure != criterion.Accuracy || c.Goal.Level != "" ||
		p.HelpProcedure == program.LeastToMost || p.LessHelp != "" || c.Only == criterion.ProbesOnly {
		return
	}
	with := c
	with.Goal.Level = s.PlannedHelp
	var fix *Fix
	if _, err := criterion.Parse(with.String(), r.d.Vocabulary(s)); err == nil {
		fix = &Fix{ID: "count_help", Field: field, Value: with.String()}
	}
	r.look(fix, field, "check.planned_help_alone", "level", s.PlannedHelp)
}

// guesser compares the criterion with what someone who only guesses achieves.
func (r *reviewer) guesser(s *program.Step, c criterion.Criterion, field string) {
	if s.Choices < 2 || c.Goal.Level != "" || c.Goal.LowerIsBetter() {
		return
	}
	odds, ok := guessingChance(s, c)
	if !ok || odds <= guessLimit {
		return
	}
	var fix *Fix
	for harder := c; harder.Window.Length() < longestRun && fix == nil; {
		harder.Window.Need++
		if !harder.Window.InARow() {
			harder.Window.Of = max(harder.Window.Of, harder.Window.Need)
		}
		if odds, ok := guessingChance(s, harder); ok && odds <= guessLimit {
			fix = &Fix{ID: "more_sessions", Field: field, Value: harder.String()}
		}
	}
	r.look(fix, field, "check.guesser", "choices", s.Choices, "sessions", guessSessions, "percent", int(math.Ceil(100*odds)))
}

// guessingChance returns the probability that someone who chooses at random
// meets the criterion. It is unknown for criteria with two goals or for each
// target.
func guessingChance(s *program.Step, c criterion.Criterion) (odds float64, ok bool) {
	answer, err := criterion.Odds(criterion.OddsQuestion{
		Criterion: c.String(), Trials: max(s.Trials, c.Trials),
		Accuracy: []exact.Rat{exact.Frac(1, int64(s.Choices))}, Sessions: []int{guessSessions},
	})
	if err != nil {
		return 0, false
	}
	return answer.Rows[0].Within[0], true
}
