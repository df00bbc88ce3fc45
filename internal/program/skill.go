package program

import (
	"slices"

	"newel/internal/newel"
)

// TaughtSkill is a skill that a program teaches. The learner has it once the
// step is met or, without a step, once the last step of every role is.
type TaughtSkill struct {
	Skill string `json:"skill"`
	Step  string `json:"step,omitempty"`
}

// Skills lists the skills that a program's latest version needs and teaches.
type Skills struct {
	ID      newel.ProgramID
	Title   string
	Needs   []string
	Teaches []TaughtSkill
	Steps   map[string]string // titles of the steps, by key
}

// SkillsOf returns the skills that the document needs and teaches.
func (d *Document) SkillsOf(program newel.ProgramID) Skills {
	p := Skills{ID: program, Title: d.Title, Needs: d.Needs, Teaches: d.Teaches, Steps: map[string]string{}}
	for _, t := range d.Teaches {
		if t.Step != "" {
			p.Steps[t.Step] = d.StepTitle(t.Step)
		}
	}
	return p
}

// Taught returns the names of the skills that the document teaches.
func (d *Document) Taught() []string {
	names := make([]string, len(d.Teaches))
	for i, t := range d.Teaches {
		names[i] = t.Skill
	}
	return names
}

// MetStep is a step whose criterion a learner met.
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

// ReachedAt returns the steps that must all be met for the skill to be
// acquired.
func (t TaughtSkill) ReachedAt(last []string) []string {
	if t.Step != "" {
		return []string{t.Step}
	}
	return last
}

// LastSteps returns the key of the last step of each strand.
func (d *Document) LastSteps() []string {
	var keys []string
	for _, s := range d.Strands {
		if n := len(s.Steps); n > 0 {
			keys = append(keys, s.Steps[n-1].Key)
		}
	}
	return keys
}

// teachesLine returns a line such as "the skill (G3)".
func (d *Document) teachesLine(t TaughtSkill) string {
	return bracketed(t.Skill, d.StepTitle(t.Step))
}

// taughtOf parses the output of teachesLine. Brackets that do not name a step
// are part of the name.
func (d *Document) taughtOf(line string) TaughtSkill {
	name, inside := unbracketed(line)
	if _, step := d.stepTitled(inside); inside != "" && step != "" {
		return TaughtSkill{Skill: name, Step: step}
	}
	return TaughtSkill{Skill: line}
}

// replaceTaughtStep replaces the step at which skills are acquired when a step
// is removed or split; an empty key means the end of the program.
func (d *Document) replaceTaughtStep(key, by string) {
	d.Teaches = slices.Clone(d.Teaches)
	for i := range d.Teaches {
		if d.Teaches[i].Step == key {
			d.Teaches[i].Step = by
		}
	}
}

// skills checks the names of skills and the steps at which they are acquired.
func (c *checker) skills() {
	needed, taught := map[string]bool{}, map[string]bool{}
	for _, name := range c.d.Needs {
		c.block.Line("needs", name, newel.MaxLine, true)
		if needed[newel.FoldSkill(name)] {
			c.block.Add("needs", "program.skill_twice", "skill", name)
		}
		needed[newel.FoldSkill(name)] = true
	}
	for _, t := range c.d.Teaches {
		c.block.Line("teaches", t.Skill, newel.MaxLine, true)
		if taught[newel.FoldSkill(t.Skill)] {
			c.block.Add("teaches", "program.skill_twice", "skill", t.Skill)
		}
		taught[newel.FoldSkill(t.Skill)] = true
		if _, step := c.d.Step(t.Step); t.Step != "" && step == nil {
			c.block.Add("teaches", "program.skill_step", "skill", t.Skill)
		}
	}
}
