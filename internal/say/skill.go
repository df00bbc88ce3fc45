package say

import (
	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
	"newel/internal/view"
)

func skillHref(id newel.SkillID) string {
	if id.IsZero() {
		return ""
	}
	return href.Skill.To(id)
}

// skillLink returns a link to a skill, if it is in the clinic's list.
func skillLink(x skill.Skill) view.Link { return view.Link{Label: x.Name, Href: skillHref(x.ID)} }

func programLink(p skill.Program) view.Link {
	return view.Link{Label: p.Title, Href: href.Program.To(p.ID)}
}

// teachers returns the programs that teach a skill, each with the step.
func teachers(t *message.Printer, shelf *skill.Shelf, k skill.Key) []view.ProgramLink {
	var out []view.ProgramLink
	for _, p := range shelf.Teachers(k) {
		l := view.ProgramLink{Link: programLink(p), At: t.Text("skills.at_end")}
		for _, taught := range p.Teaches {
			if taught.Key == k && taught.Step != "" {
				l.At = t.Text("skills.at_step", "step", taught.Step)
			}
		}
		out = append(out, l)
	}
	return out
}

// skillLine returns a skill with the programs that teach and need it.
func skillLine(t *message.Printer, shelf *skill.Shelf, x newel.Skill) view.SkillLine {
	k := skill.Key(x.ID.String())
	line := view.SkillLine{Link: view.Link{Label: x.Name, Href: skillHref(x.ID)}, TaughtBy: teachers(t, shelf, k)}
	for _, p := range shelf.Users(k) {
		line.NeededBy = append(line.NeededBy, view.ProgramLink{Link: programLink(p)})
	}
	return line
}

// skillOptions returns the skills by which the library can be filtered.
func skillOptions(shelf *skill.Shelf) []view.Option {
	var out []view.Option
	for _, k := range shelf.Used() {
		out = append(out, view.Option{Value: string(k), Label: shelf.Skill(k).Name})
	}
	return out
}

// SkillsPage lists the clinic's skills by area.
func SkillsPage(t *message.Printer, v app.SkillsView) view.SkillsPage {
	m := view.SkillsPage{T: t}
	for _, x := range v.Skills {
		line := skillLine(t, v.Shelf, x)
		if x.ArchivedAt != nil {
			m.Gone = append(m.Gone, line)
			continue
		}
		if n := len(m.Areas); n == 0 || m.Areas[n-1].Name != x.Area {
			m.Areas = append(m.Areas, view.SkillArea{Name: x.Area})
		}
		last := &m.Areas[len(m.Areas)-1]
		last.Skills = append(last.Skills, line)
	}
	if n := len(m.Areas); n > 1 && m.Areas[0].Name == "" { // skills without an area come last
		m.Areas = append(m.Areas[1:], m.Areas[0])
	}
	return m
}

// SkillPage returns one skill, with the evidence about learners.
func SkillPage(t *message.Printer, v app.SkillView) view.SkillPage {
	m := view.SkillPage{
		T: t, Skill: skillLine(t, v.Shelf, v.Skill), ID: v.Skill.ID, Area: v.Skill.Area, Archived: v.Skill.ArchivedAt != nil, Archive: NewToken(),
	}
	for _, n := range v.Notes {
		line := noteLine(t, n)
		m.Learners = append(m.Learners, view.SkillLearner{
			Link:   view.Link{Label: v.Learners[n.LearnerID], Href: href.LearnerSkills.To(n.LearnerID)},
			Status: line.Status, Noted: line.Noted, Evidence: line.Evidence,
		})
	}
	return m
}

// FillSkills adds what a program needs and teaches, as links.
func FillSkills(m *view.ProgramPage, shelf *skill.Shelf) {
	for _, name := range m.Document.Needs {
		m.Needs = append(m.Needs, view.ProgramLink{Link: skillLink(shelf.Skill(shelf.Key(name)))})
	}
	for _, taught := range m.Document.Teaches {
		l := view.ProgramLink{Link: skillLink(shelf.Skill(shelf.Key(taught.Skill))), At: m.T.Text("skills.at_end")}
		if step := m.Document.StepTitle(taught.Step); step != "" {
			l.At = m.T.Text("skills.at_step", "step", step)
		}
		m.Teaches = append(m.Teaches, l)
	}
}

// SkillPick returns the skills that the editor offers from the clinic's list.
func SkillPick(v app.SkillsView, d *program.Document) *view.SkillPick {
	pick := &view.SkillPick{}
	for _, x := range v.Skills {
		if x.ArchivedAt == nil {
			pick.Names = append(pick.Names, x.Name)
		}
	}
	for i := range d.Strands {
		for _, step := range d.Strands[i].Steps {
			if title := d.StepTitle(step.Key); title != "" {
				pick.Steps = append(pick.Steps, view.Option{Value: title, Label: title})
			}
		}
	}
	return pick
}
