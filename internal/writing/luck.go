package writing

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/program"
)

// Luck is how a criterion treats a child who has not learned the skill and one
// who has, and which criteria would treat both well.
type Luck struct {
	criterion.LuckAnswer
	Trials        int // per session: planned, or as many as the criterion requires
	LowerIsBetter bool
	// Mends are the nearest sound criterion and, if that one needs more trials,
	// the nearest that does not. Empty if the criterion is sound, or if no
	// similar one is.
	Mends []Mend
}

// Mend is a sound criterion to replace one that is not.
type Mend struct {
	Criterion criterion.Criterion
	Trials    int // to plan per session
	OtherGoal bool
	Luck      criterion.LuckAnswer
}

// Limits of the search for a sound criterion. A window of more sessions keeps a
// child waiting who has learned the skill; more than twice as many trials are
// another way of teaching.
const (
	longestMend   = 5
	mostMoreTries = 10
)

// What each change costs, to find the nearest criterion: one more trial per
// session, one session more or fewer that must qualify, one session more or
// fewer among which they may be.
const (
	costTrial   = 1.0
	costNeed    = 1.5
	costSlack   = 1.0
	costOnlyAll = 3.0 // a goal that allows an error comes to allow none
)

// luckOf returns nil if the luck of the criterion cannot be told, as for its
// odds, or if no number of trials is known.
func luckOf(d *program.Document, s *program.Step, c criterion.Criterion, planned int) *Luck {
	trials := max(planned, c.Trials)
	if trials < 1 || c.Goal.Unreachable() {
		return nil
	}
	search := mendSearch{step: s, levels: d.HelpNames(), from: c, trials: trials}
	answer, err := search.luck(c, trials)
	if err != nil {
		return nil
	}
	l := &Luck{LuckAnswer: answer, Trials: trials, LowerIsBetter: c.Goal.LowerIsBetter()}
	if !answer.Sound() {
		l.Mends = search.mends()
	}
	return l
}

// mendSearch looks for the sound criterion nearest to one that is not.
type mendSearch struct {
	step   *program.Step
	levels []string
	from   criterion.Criterion
	trials int
}

func (m mendSearch) luck(c criterion.Criterion, trials int) (criterion.LuckAnswer, error) {
	return criterion.Luck(criterion.LuckQuestion{Criterion: c.String(), HelpLevels: m.levels, Trials: trials})
}

func (m mendSearch) mends() []Mend {
	var out []Mend
	nearest, found := m.nearest(m.from.Goal, m.moreTrials())
	if found {
		out = append(out, nearest)
		if nearest.Trials == m.trials {
			return out
		}
	}
	for _, goal := range m.goals() {
		if same, ok := m.nearest(goal, []int{m.trials}); ok {
			return append(out, same)
		}
	}
	return out
}

// moreTrials returns the numbers of trials to try. Where each target has its
// share of the trials, it keeps it.
func (m mendSearch) moreTrials() []int {
	step := 1
	if n := len(m.step.Targets); n > 1 && m.trials%n == 0 {
		step = n
	}
	var out []int
	for n := m.trials; n <= min(2*m.trials, m.trials+mostMoreTries); n += step {
		out = append(out, n)
	}
	return out
}

// goals returns the criterion's goal, and easier ones that are in use. With few
// trials, no window makes a high goal sound.
func (m mendSearch) goals() []criterion.Goal {
	out := []criterion.Goal{m.from.Goal}
	for _, percent := range []int64{90, 80} {
		if easier := exact.Int(percent); !m.from.Goal.LowerIsBetter() && easier.Less(m.from.Goal.Number) {
			goal := m.from.Goal
			goal.Number, goal.Comparison = easier, criterion.AtLeast
			out = append(out, goal)
		}
	}
	return out
}

// candidate is a window and a number of trials, with the cost of the change.
type candidate struct {
	window criterion.Window
	trials int
	cost   float64
}

// nearest returns the sound criterion with that goal whose change costs least,
// if possible one that a guesser does not meet.
func (m mendSearch) nearest(goal criterion.Goal, trials []int) (Mend, bool) {
	var all []candidate
	for _, w := range m.windows() {
		for _, n := range trials {
			all = append(all, candidate{w, n, m.cost(goal, w, n)})
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(a.cost, b.cost) })
	var guessable Mend
	found := false
	for _, one := range all {
		c := m.from
		c.Goal, c.Window, c.Trials = goal, one.window, one.trials
		a, err := m.luck(c, one.trials)
		if err != nil || !a.Sound() {
			continue
		}
		mend := Mend{Criterion: c, Trials: one.trials, OtherGoal: !goal.Number.Equal(m.from.Goal.Number), Luck: a}
		if !m.guessed(c, one.trials) {
			return mend, true
		}
		if !found {
			guessable, found = mend, true
		}
	}
	return guessable, found
}

// guessed reports whether someone who only guesses would meet the criterion.
func (m mendSearch) guessed(c criterion.Criterion, trials int) bool {
	s := *m.step
	if s.Choices < 2 || c.Goal.Level != "" || c.Goal.LowerIsBetter() {
		return false
	}
	s.Trials = trials
	odds, ok := guessingChance(&s, c)
	return ok && odds > guessLimit
}

// windows returns the windows to try, those in a row first. Days, people and
// places are counted over a whole run, but only over the last sessions of the
// other windows, which must have room for them.
func (m mendSearch) windows() []criterion.Window {
	longest := max(longestMend, m.from.Window.Length())
	breadth := max(m.from.Days, m.from.People, m.from.Places, m.from.Homes)
	var row, of []criterion.Window
	for need := 1; need <= longest; need++ {
		row = append(row, criterion.Window{Need: need})
		for last := max(need+1, breadth); last <= min(need+2, longest); last++ {
			if need > 1 {
				of = append(of, criterion.Window{Need: need, Of: last})
			}
		}
	}
	return append(row, of...)
}

func (m mendSearch) cost(goal criterion.Goal, w criterion.Window, trials int) float64 {
	slack := func(w criterion.Window) int { return w.Length() - w.Need }
	cost := costTrial * float64(trials-m.trials)
	cost += costNeed * math.Abs(float64(w.Need-m.from.Window.Need))
	cost += costSlack * math.Abs(float64(slack(w)-slack(m.from.Window)))
	if onlyAll(goal, trials) && !onlyAll(m.from.Goal, m.trials) {
		cost += costOnlyAll
	}
	return cost
}

// onlyAll reports whether a goal of less than 100% allows no error.
func onlyAll(goal criterion.Goal, trials int) bool {
	k, ok := goal.LeastCorrect(trials)
	return ok && k == trials && goal.Number.Less(exact.Int(100))
}

// Fixes returns the mends as changes of the step: the first with the ID
// "sound_more" if it needs more trials than the criterion, otherwise "sound".
func (l *Luck) Fixes(s *program.Step) []*Fix {
	var out []*Fix
	for _, m := range l.Mends {
		f := &Fix{
			ID: "sound", Field: program.StepField(s.Key, "criterion"), Value: m.Criterion.String(),
			Args: []any{"criterion", m.Criterion.String(), "trials", m.Trials},
		}
		if m.Trials != l.Trials {
			f.ID = "sound_more"
		}
		if m.Trials != s.Trials {
			f.Also = map[string]string{program.StepField(s.Key, "trials"): strconv.Itoa(m.Trials)}
		}
		out = append(out, f)
	}
	return out
}

// luck reports a criterion that is met by luck, or that keeps a child waiting
// who has learned the skill.
func (r *reviewer) luck(s *program.Step, c criterion.Criterion, field string) {
	l := luckOf(r.d, s, c, s.Trials)
	if l == nil || l.Sound() {
		return
	}
	start := len(r.out)
	for _, p := range l.Problems() {
		r.look(nil, field, p.Key, p.Args...)
	}
	first := &r.out[start]
	first.Luck = l
	for i, f := range l.Fixes(s) {
		*[]**Fix{&first.Fix, &first.Or}[i] = f
	}
}

// AboutLuck reports whether a finding with that key is about a criterion's luck.
func AboutLuck(key string) bool {
	return slices.Contains([]string{"check.lucky", "check.slow", "check.luck_no_window", "check.luck_other_goal"}, key)
}

// Said is a text of the catalog with its arguments.
type Said struct {
	Key  string
	Args []any
}

// Problems returns what is wrong with the criterion, and why no similar one
// would do if none does.
func (l *Luck) Problems() []Said {
	var out []Said
	if l.Lucky {
		out = append(out, Said{"check.lucky", []any{
			"percent", l.Unlearnt.Percent.String(), "sessions", criterion.LuckSessions, "n", Hundredths(l.Unlearnt.Within10),
		}})
	}
	if l.Slow {
		out = append(out, Said{"check.slow", []any{
			"percent", l.Learnt.Percent.String(), "sessions", criterion.LuckSessions, "n", Hundredths(1 - l.Learnt.Within10),
		}})
	}
	switch {
	case l.Sound():
	case len(l.Mends) == 0:
		out = append(out, Said{"check.luck_no_window", []any{"trials", l.Trials, "sessions", longestMend}})
	case l.Mends[0].OtherGoal:
		out = append(out, Said{"check.luck_other_goal", []any{"trials", l.Trials, "sessions", longestMend}})
	}
	return out
}

// Hundredths returns a probability as so many in a hundred, rounded, but never
// 0 or 100 unless it is.
func Hundredths(p float64) int {
	n := int(math.Round(100 * p))
	switch {
	case p <= 0:
		return 0
	case p >= 1:
		return 100
	}
	return min(max(n, 1), 99)
}
