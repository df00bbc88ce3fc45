package reading

import (
	"fmt"
	"slices"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
)

// WhyUnfit is why a session that differed from its step does not count. The
// condition is the program's own; for the evaluator the session is simply
// excluded.
const WhyUnfit criterion.Why = "unfit"

// The flags of the program's own rules for the planned help, listed after the
// evaluator's: move the help one level down, or up.
const (
	FlagLessHelp criterion.FlagKind = "less_help"
	FlagMoreHelp criterion.FlagKind = "more_help"
)

// Judge evaluates a case of the placement. It uses only sessions that match the step and targets
// that the step teaches, and adds the program's rules for the planned help.
func (evaluate Evaluator) Judge(g Facts, c criterion.Case) (criterion.Reading, error) {
	unfit := unfitOf(g.Sessions)
	c.Sessions = slices.Clone(c.Sessions)
	for i := range c.Sessions {
		s := &c.Sessions[i]
		s.Void = s.Void || unfit[s.ID]
		s.Trials = withoutKnown(&g.Step, s.Trials)
	}
	atOnce := 0
	if g.Step.OneByOne() {
		atOnce = g.Step.AtOnce
	}
	r, err := evaluate(c, atOnce)
	if err != nil {
		return r, err
	}
	for i := range r.Sessions {
		if s := &r.Sessions[i]; s.Why == criterion.WhyVoid && unfit[s.ID] {
			s.Why = WhyUnfit
		}
	}
	return r, helpRules(&r, g, c)
}

// unfitOf returns the stored sessions that differed from their step, without
// those excluded anyway.
func unfitOf(sessions []newel.KeptSession) map[string]bool {
	unfit := map[string]bool{}
	for _, s := range sessions {
		if len(s.Unfit) > 0 && !s.Void {
			unfit[s.ID] = true
		}
	}
	return unfit
}

// withoutKnown excludes the scored trials of mastered targets that are only
// mixed in, because they would inflate the percentage. It keeps a child's no.
func withoutKnown(step *program.Step, trials []measure.Trial) []measure.Trial {
	if len(step.Order.Known) == 0 || len(step.Targets) == 0 {
		return trials
	}
	return slices.DeleteFunc(slices.Clone(trials), func(t measure.Trial) bool {
		taught := t.Target == "" || slices.ContainsFunc(step.Targets, func(o program.Target) bool { return o.Key == t.Target })
		return !taught && t.Scored()
	})
}

// helpRules adds the flags of the program's rules for the current planned help,
// as long as the criterion is not met.
func helpRules(r *criterion.Reading, g Facts, c criterion.Case) error {
	if r.Status == criterion.StatusMet {
		return nil
	}
	for _, rule := range []struct {
		kind criterion.FlagKind
		text string
		by   int
	}{{FlagLessHelp, g.HelpRules.Less, -1}, {FlagMoreHelp, g.HelpRules.More, 1}} {
		if _, is := program.HelpLevelAt(c.HelpLevels, g.PlannedHelp, rule.by); !is || rule.text == "" {
			continue
		}
		sessions, holds, err := criterion.Holds(c, rule.text, g.PlannedHelp)
		if err != nil {
			return fmt.Errorf("rule for %s: %w", rule.kind, err)
		}
		if holds {
			r.Flags = append(r.Flags, criterion.Flag{Kind: rule.kind, Sessions: sessions})
		}
	}
	return nil
}
