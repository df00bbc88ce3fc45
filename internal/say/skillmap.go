package say

import (
	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/skill"
	"newel/internal/view"
)

// LearnerCrumbs returns the breadcrumbs of a page about a learner's skills.
func LearnerCrumbs(t *message.Printer, v app.LearnerSkills) []view.Link {
	return []view.Link{
		{Label: t.Text("families.title"), Href: href.Families}, {Label: v.Learner.Nickname, Href: href.Learner.To(v.Learner.ID)},
	}
}

// SkillMapPage returns the skill map, with the learner's skills if of is set.
func SkillMapPage(t *message.Printer, shelf *skill.Shelf, of *app.LearnerSkills) view.SkillMapPage {
	m := view.SkillMapPage{T: t, Learner: of != nil}
	for _, n := range shelf.Map() {
		node := view.SkillNode{Link: skillLink(n.Skill), Layer: n.Layer, From: n.From}
		if n.Program != nil {
			node.Link, node.Program = programLink(*n.Program), true
			m.Rows = append(m.Rows, mapRow(t, shelf, *n.Program, of))
		}
		if of != nil {
			node.State, node.Words = nodeState(t, n, of)
		}
		m.Nodes = append(m.Nodes, node)
	}
	return m
}

func nodeState(t *message.Printer, n skill.Node, of *app.LearnerSkills) (view.NodeState, string) {
	if p := n.Program; p != nil {
		switch {
		case of.Taught[p.ID]:
			return view.NodeBegun, taughtText(t, of.At[p.ID])
		case of.Finished[p.ID]:
			return view.NodeClosed, t.Text("skills.map_finished")
		}
		return view.NodePlain, ""
	}
	note, noted := of.Latest()[n.Skill.ID]
	switch {
	case !noted:
		return view.NodePlain, t.Text("skills.status_none")
	case note.Status.Has():
		return view.NodeClosed, statusText(t, note.Status)
	case note.Status == newel.SkillEmerging:
		return view.NodeBegun, statusText(t, note.Status)
	}
	return view.NodePlain, statusText(t, note.Status)
}

func mapRow(t *message.Printer, shelf *skill.Shelf, p skill.Program, of *app.LearnerSkills) view.SkillMapRow {
	row := view.SkillMapRow{Program: view.ProgramLink{Link: programLink(p)}}
	at := func(k skill.Key, step string) view.ProgramLink {
		l := view.ProgramLink{Link: skillLink(shelf.Skill(k)), At: step}
		if of != nil {
			if _, words := nodeState(t, skill.Node{Skill: shelf.Skill(k)}, of); words != "" {
				l.At = joinWords(step, words)
			}
		}
		return l
	}
	for _, k := range p.Needs {
		row.Needs = append(row.Needs, at(k, ""))
	}
	for _, taught := range p.Teaches {
		step := t.Text("skills.at_end")
		if taught.Step != "" {
			step = t.Text("skills.at_step", "step", taught.Step)
		}
		row.Teaches = append(row.Teaches, at(taught.Key, step))
	}
	if of != nil {
		_, row.Program.At = nodeState(t, skill.Node{Program: &p}, of)
	}
	return row
}

func joinWords(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}
