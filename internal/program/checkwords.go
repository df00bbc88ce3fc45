package program

import (
	"slices"
	"strings"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// stepWords checks what the table of fields cannot: the sets and names of
// targets, and how many are taught at once.
func (c *checker) stepWords(s *Step) {
	for _, t := range s.Targets {
		c.block.Line(StepField(s.Key, "targets"), t.Set, newel.MaxName, false)
		checkWordings(&c.block, StepField(s.Key, "targets"), t.In)
	}
	if s.AtOnce > len(s.Targets) {
		c.block.Add(StepField(s.Key, "at_once"), "program.at_once", "targets", len(s.Targets))
	}
}

func checkWordings(e *newel.Invalid, field string, w Wordings) {
	for _, tag := range w.Tags() {
		if !KnownLanguage(tag) {
			e.Add(field, "program.wordings", "typed", shortened(tag))
		}
		e.Line(field, w[tag], newel.MaxLine, true)
	}
}

// procedure checks how prompts are given and when the planned prompt changes.
func (c *checker) procedure() {
	p := &c.d.Procedure
	if p.HelpProcedure != "" && !slices.Contains(HelpProcedures, p.HelpProcedure) {
		c.block.Add("help_procedure", "program.help_procedure", "typed", shortened(string(p.HelpProcedure)))
	}
	v := criterion.Vocabulary{HelpLevels: c.d.HelpNames()}
	c.rule("less_help", p.LessHelp, v)
	c.rule("more_help", p.MoreHelp, v)
}

// rule checks a rule written like a step-back rule; an empty one is valid.
func (c *checker) rule(field, text string, v criterion.Vocabulary) {
	if strings.TrimSpace(text) == "" {
		return
	}
	if _, err := criterion.ParseStepBack(text, v); err != nil {
		c.unreadable(field, err)
	}
}

// unreachable adds what no session or run of sessions could ever meet.
func (c *checker) unreachable(field string, crit criterion.Criterion) {
	for _, g := range []*criterion.Goal{&crit.Goal, crit.Second} {
		if g != nil && g.Unreachable() {
			c.block.Add(field, "program.goal_unreachable", "goal", g.String())
		}
	}
	// A window "of the last n" sees only those n sessions; a run may be longer
	// than required.
	if most := crit.Window.Of; most > 0 && max(crit.Days, crit.People, crit.Places, crit.Homes) > most {
		c.block.Add(field, "program.breadth_unreachable", "asked", max(crit.Days, crit.People, crit.Places, crit.Homes), "sessions", most)
	}
}
