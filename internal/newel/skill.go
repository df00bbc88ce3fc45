package newel

import (
	"slices"
	"strings"
	"time"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Skill is something that learners come to do, on the clinic's own list.
// Programs name the skills that they need and teach.
type Skill struct {
	ID         SkillID
	Name       string
	Area       string
	CreatedAt  time.Time
	ArchivedAt *time.Time
	// Names are all that it has or had, folded: a program that was published
	// names a skill as it was called then.
	Names []string
}

// FoldSkill gives a name as it is compared with others: capitals and white
// space do not matter.
func FoldSkill(name string) string {
	return cases.Fold().String(strings.Join(strings.Fields(norm.NFC.String(name)), " "))
}

// SkillStatus says how far a learner is with a skill.
type SkillStatus string

// The statuses, from none to most (common practice).
const (
	SkillNotYet     SkillStatus = "not_yet"
	SkillEmerging   SkillStatus = "emerging"
	SkillAcquired   SkillStatus = "acquired"
	SkillMaintained SkillStatus = "maintained"
)

// SkillStatuses lists them.
var SkillStatuses = []SkillStatus{SkillNotYet, SkillEmerging, SkillAcquired, SkillMaintained}

// Has reports whether a program that needs the skill may count on it.
func (s SkillStatus) Has() bool { return s == SkillAcquired || s == SkillMaintained }

// SkillNote is what somebody noted about a learner's skill, and on what
// evidence. It is never changed; the latest counts.
type SkillNote struct {
	ID             SkillNoteID
	FamilyID       FamilyID
	LearnerID      LearnerID
	SkillID        SkillID
	Status         SkillStatus
	NotedOn        Day
	Evidence       string
	PlacementID    *PlacementID // the stay on a step that met it, if that is the evidence
	RecordedByName string
	RecordedAt     time.Time
}

// TaughtSkill is a skill that a program teaches. It is reached when the step
// is met; without a step, when the last step of every role is.
type TaughtSkill struct {
	Skill string `json:"skill"`
	Step  string `json:"step,omitempty"`
}

// ProgramSkills is what a program of the shelf needs and teaches, as its
// latest version says.
type ProgramSkills struct {
	ID      ProgramID
	Title   string
	Needs   []string
	Teaches []TaughtSkill
	Steps   map[string]string // titles of the steps, by key
}

// SkillsOf gives what the document needs and teaches.
func (d *Document) SkillsOf(program ProgramID) ProgramSkills {
	p := ProgramSkills{ID: program, Title: d.Title, Needs: d.Needs, Teaches: d.Teaches, Steps: map[string]string{}}
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
	PlacementID PlacementID
	ProgramID   ProgramID
	Program     string
	StepKey     string
	Step        string // its title
	Teaches     []TaughtSkill
	Last        []string // keys of the last step of each role
	MetOn       Day
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
		c.stops.Line("needs", name, MaxLine, true)
		if needed[FoldSkill(name)] {
			c.stops.Add("needs", "program.skill_twice", "skill", name)
		}
		needed[FoldSkill(name)] = true
	}
	for _, t := range c.d.Teaches {
		c.stops.Line("teaches", t.Skill, MaxLine, true)
		if taught[FoldSkill(t.Skill)] {
			c.stops.Add("teaches", "program.skill_twice", "skill", t.Skill)
		}
		taught[FoldSkill(t.Skill)] = true
		if _, step := c.d.Step(t.Step); t.Step != "" && step == nil {
			c.stops.Add("teaches", "program.skill_step", "skill", t.Skill)
		}
	}
}
