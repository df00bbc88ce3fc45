package view

import (
	"strings"

	"newel/internal/chart"
	"newel/internal/message"
	"newel/internal/newel"
)

// SkillsPage is the clinic's list of skills.
type SkillsPage struct {
	T     *message.Printer
	Areas []SkillArea
	Gone  []SkillLine // archived
	Add   *FormState  // nil if this person may not add any
}

// SkillArea is the skills of one area.
type SkillArea struct {
	Name   string
	Skills []SkillLine
}

// SkillLine is one skill, and the programs around it.
type SkillLine struct {
	Link
	TaughtBy, NeededBy []ProgramLink
}

// ProgramLink links to a program; At says at which step, or how far.
type ProgramLink struct {
	Link
	At string
}

func (p SkillsPage) areaNames() []string {
	var out []string
	for _, a := range p.Areas {
		if a.Name != "" {
			out = append(out, a.Name)
		}
	}
	return out
}

func (p SkillsPage) area(a SkillArea) string {
	if a.Name == "" {
		return p.T.Text("skills.no_area")
	}
	return a.Name
}

// SkillPage is one skill.
type SkillPage struct {
	T        *message.Printer
	Skill    SkillLine
	ID       newel.SkillID
	Area     string
	Archived bool
	Learners []SkillLearner
	Change   *FormState // nil if this person may not change it
	Archive  string     // a form's token
}

// SkillLearner is the latest evidence about one learner.
type SkillLearner struct {
	Link
	Status, Noted, Evidence string
}

// LearnerSkillsPage shows a learner's skills.
type LearnerSkillsPage struct {
	T        *message.Printer
	Name     string
	Crumbs   []Link
	ID       newel.LearnerID
	Proposed []ProposedSkill
	Areas    []LearnerSkillArea
	Unknown  []LearnerSkill
	Note     *FormState // nil if this person may not record any
	Names    []string   // names of the clinic's skills
	Statuses Field
	Order    []OrderLine
	Blocked  []OrderLine
}

// ProposedSkill is a skill that can be recorded with one button.
type ProposedSkill struct {
	Skill               Link
	Text                string
	Stay                string // links to the placement on the step
	Token               string
	Name, On, Placement string
}

// LearnerSkillArea is what is known in one area.
type LearnerSkillArea struct {
	Name   string
	Skills []LearnerSkill
}

// LearnerSkill is what is known about one skill, the evidence that counts
// first.
type LearnerSkill struct {
	Skill  Link
	Again  string // links to the form with the skill filled in
	Status string
	Had    bool
	Notes  []SkillNoteLine
}

// SkillNoteLine is one piece of evidence.
type SkillNoteLine struct {
	Status, Noted, Evidence string
	Stay                    *Link
}

// OrderLine is one program in the suggested order.
type OrderLine struct {
	Program Link
	State   string // "being taught, G3"; empty if it is not
	Lines   []string
	Assign  string // links to the assign form; empty if not allowed or already taught
}

func (p LearnerSkillsPage) area(a LearnerSkillArea) string {
	if a.Name == "" {
		return p.T.Text("skills.no_area")
	}
	return a.Name
}

func (p LearnerSkillsPage) noteFields() []Field {
	f := *p.Note
	return []Field{with(f.Needed("skill", "skills.skill"), "list", "skill-names", "autocomplete", "off"), p.Statuses, f.Needed("on", "skills.on"), f.Field("evidence", "skills.evidence")}
}

// SkillMapPage is a skill map, also as a table.
type SkillMapPage struct {
	T       *message.Printer
	Title   string
	Crumbs  []Link
	Here    string
	Nodes   []SkillNode
	Learner bool // one learner's skills are highlighted
	Rows    []SkillMapRow
}

// SkillNode is a program or a skill on the map.
type SkillNode struct {
	Link
	Program bool
	Layer   int
	From    []int
	State   NodeState
	Words   string // the state in words; empty if there is none
}

// NodeState says how far a learner is with a node.
type NodeState int

// The states of a node. The zero value is no state.
const (
	NodePlain  NodeState = iota
	NodeBegun            // an emerging skill, a program being taught
	NodeClosed           // an acquired skill, a finished program
)

// SkillMapRow is one program of the table.
type SkillMapRow struct {
	Program        ProgramLink
	Needs, Teaches []ProgramLink
}

// narrowMap is the width of a map on the smallest phone, without margins.
const narrowMap = 288

func (p SkillMapPage) nodes() []chart.MapNode {
	out := make([]chart.MapNode, len(p.Nodes))
	for i, n := range p.Nodes {
		out[i] = chart.MapNode{Layer: n.Layer, Text: n.Label, Bold: n.Program, From: n.From}
	}
	return out
}

// boxClass returns the class of a node's box. Skills have round corners,
// programs do not.
func (n SkillNode) boxClass() string {
	switch n.State {
	case NodeClosed:
		return "m-box m-had"
	case NodeBegun:
		return "m-box m-begun"
	}
	return "m-box"
}

func (n SkillNode) textClass() string {
	class := "t-lab"
	if n.Program {
		class = "t-bold"
	}
	if n.State == NodeClosed {
		class += " t-onink"
	}
	return class
}

func (n SkillNode) corner() string {
	if n.Program {
		return "1"
	}
	return "13"
}

func (n SkillNode) said(t *message.Printer) string {
	kind := t.Text("skills.map_skill")
	if n.Program {
		kind = t.Text("skills.map_program")
	}
	if n.Words == "" {
		return n.Label + ", " + kind
	}
	return n.Label + ", " + kind + ", " + n.Words
}

// wayClass highlights a path that begins at something the learner has.
func (p SkillMapPage) wayClass(w chart.MapWay) string {
	if p.Nodes[w.From].State == NodeClosed {
		return "d-path"
	}
	return "d-axis"
}

func (p SkillMapPage) tipClass(w chart.MapWay) string {
	if p.Nodes[w.From].State == NodeClosed {
		return "d-ink"
	}
	return "m-tip"
}

// curvePath formats points as a path that is horizontal at each of them.
func curvePath(points []chart.Point) string {
	var b strings.Builder
	for i, p := range points {
		if i == 0 {
			b.WriteString("M" + num(p.X) + " " + num(p.Y))
			continue
		}
		last := points[i-1]
		if last.Y == p.Y {
			b.WriteString("H" + num(p.X))
			continue
		}
		middle := (last.X + p.X) / 2
		b.WriteString("C" + num(middle) + " " + num(last.Y) + " " + num(middle) + " " + num(p.Y) + " " + num(p.X) + " " + num(p.Y))
	}
	return b.String()
}

// SkillPick inserts skills from the clinic's list into the fields of a draft.
type SkillPick struct {
	Names []string
	Steps []Option // keys and titles
}

func (m DraftPage) pickStep() Field {
	f := Field{Name: "teach_step", Label: m.T.Text("draft.skill_step"), Plain: true, Options: []Option{{Label: m.T.Text("draft.skill_at_end")}}}
	f.Options = append(f.Options, m.Skills.Steps...)
	return f
}

func (m DraftPage) pickName(name string) Field {
	return with(Field{Name: name, Label: m.T.Text("draft.skill_pick"), Plain: true}, "list", "skill-names", "autocomplete", "off")
}
