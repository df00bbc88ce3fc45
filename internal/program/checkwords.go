package program

import (
	"slices"
	"strings"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// stepWords checks the texts that identify a step and how it is taught, other
// than those common to all steps.
func (c *checker) stepWords(s *Step) {
	line := func(name, text string, limit int) { c.stops.Line(StepField(s.Key, name), text, limit, false) }
	line("phase", s.Phase, newel.MaxName)
	line("fits_people", s.Fits.People, newel.MaxLine)
	line("fits_place", s.Fits.Place, newel.MaxLine)
	line("fits_materials", s.Fits.Materials, newel.MaxLine)
	for name, list := range s.lists() {
		for _, text := range *list {
			line(name, text, newel.MaxLine)
		}
	}
	for _, t := range s.Targets {
		line("targets", t.Set, newel.MaxName)
		c.wordings(StepField(s.Key, "targets"), t.In)
	}
	c.wordings(StepField(s.Key, "say_in"), s.SayIn)
	if s.AtOnce > len(s.Targets) {
		c.stops.Add(StepField(s.Key, "at_once"), "program.at_once", "targets", len(s.Targets))
	}
}

func (c *checker) wordings(field string, w Wordings) {
	for _, tag := range w.Tags() {
		if !KnownLanguage(tag) {
			c.stops.Add(field, "program.wordings", "typed", shortened(tag))
		}
		c.stops.Line(field, w[tag], newel.MaxLine, true)
	}
}

// procedure checks how prompts are given and when the planned prompt changes.
func (c *checker) procedure() {
	p := &c.d.Procedure
	c.wordings("say_in", p.SayIn)
	if p.HelpProcedure != "" && !slices.Contains(HelpProcedures, p.HelpProcedure) {
		c.stops.Add("help_procedure", "program.help_procedure", "typed", shortened(string(p.HelpProcedure)))
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
			c.stops.Add(field, "program.goal_unreachable", "goal", g.String())
		}
	}
	// A window "of the last n" sees only those n sessions; a run may be longer
	// than required.
	if most := crit.Window.Of; most > 0 && max(crit.Days, crit.People, crit.Places) > most {
		c.stops.Add(field, "program.breadth_unreachable", "asked", max(crit.Days, crit.People, crit.Places), "sessions", most)
	}
}
