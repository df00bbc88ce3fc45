package program

import (
	"slices"

	"newel/internal/newel"
)

// TaughtSkill is a skill that a program teaches. It is reached when the step
// is met; without a step, when the last step of every role is.
type TaughtSkill struct {
	Skill string `json:"skill"`
	Step  string `json:"step,omitempty"`
}

// Skills is what a program of the shelf needs and teaches, as its
// latest version says.
type Skills struct {
	ID      newel.ProgramID
	Title   string
	Needs   []string
	Teaches []TaughtSkill
	Steps   map[string]string // titles of the steps, by key
}

// SkillsOf gives what the document needs and teaches.
func (d *Document) SkillsOf(program newel.ProgramID) Skills {
	p := Skills{ID: program, Title: d.Title, Needs: d.Needs, Teaches: d.Teaches, Steps: map[string]string{}}
	for _, t := range d.Teaches {
		if t.Step != "" {
			p.Steps[t.Step] = d.StepTitle(t.Step)
		}
	}
	return p
}

// Taught gives the names of the skills that the document teaches.
func (d *Document) Taught() []string {
	names := make([]string, len(d.Teaches))
	for i, t := range d.Teaches {
		names[i] = t.Skill
	}
	return names
}

// MetStep is a step on which a learner met the criterion.
type MetStep struct {
	PlacementID newel.PlacementID
	ProgramID   newel.ProgramID
	Program     string
	StepKey     string
	Step        string // its title
	Teaches     []TaughtSkill
	Last        []string // keys of the last step of each role
	MetOn       newel.Day
}

// ReachedAt gives the steps that are all met when the skill is reached.
func (t TaughtSkill) ReachedAt(last []string) []string {
	if t.Step != "" {
		return []string{t.Step}
	}
	return last
}

// LastSteps gives the key of the last step of each strand.
func (d *Document) LastSteps() []string {
	var keys []string
	for _, s := range d.Strands {
		if n := len(s.Steps); n > 0 {
			keys = append(keys, s.Steps[n-1].Key)
		}
	}
	return keys
}

// teachesLine writes "the skill (G3)".
func (d *Document) teachesLine(t TaughtSkill) string {
	return bracketed(t.Skill, d.StepTitle(t.Step))
}

// taughtOf reads a line of teachesLine. Brackets that name no step are part of
// the name.
func (d *Document) taughtOf(line string) TaughtSkill {
	name, inside := unbracketed(line)
	if _, step := d.stepTitled(inside); inside != "" && step != "" {
		return TaughtSkill{Skill: name, Step: step}
	}
	return TaughtSkill{Skill: line}
}

// replaceTaughtStep lets what was reached at a step that goes be reached at the
// step that takes its place; none: at the end.
func (d *Document) replaceTaughtStep(key, by string) {
	d.Teaches = slices.Clone(d.Teaches)
	for i := range d.Teaches {
		if d.Teaches[i].Step == key {
			d.Teaches[i].Step = by
		}
	}
}

// skills checks the names of skills and the steps on which they are reached.
func (c *checker) skills() {
	needed, taught := map[string]bool{}, map[string]bool{}
	for _, name := range c.d.Needs {
		c.stops.Line("needs", name, newel.MaxLine, true)
		if needed[newel.FoldSkill(name)] {
			c.stops.Add("needs", "program.skill_twice", "skill", name)
		}
		needed[newel.FoldSkill(name)] = true
	}
	for _, t := range c.d.Teaches {
		c.stops.Line("teaches", t.Skill, newel.MaxLine, true)
		if taught[newel.FoldSkill(t.Skill)] {
			c.stops.Add("teaches", "program.skill_twice", "skill", t.Skill)
		}
		taught[newel.FoldSkill(t.Skill)] = true
		if _, step := c.d.Step(t.Step); t.Step != "" && step == nil {
			c.stops.Add("teaches", "program.skill_step", "skill", t.Skill)
		}
	}
}
