package say

import (
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/skill"
	"newel/internal/view"
)

func skillHref(id newel.SkillID) string {
	if id.IsZero() {
		return ""
	}
	return href.Skill.To(id)
}

// SkillLink leads to a skill, if it is in the clinic's list.
func SkillLink(x skill.Skill) view.Link { return view.Link{Label: x.Name, Href: skillHref(x.ID)} }

func programLink(p skill.Program) view.Link {
	return view.Link{Label: p.Title, Href: href.Program.To(p.ID)}
}

// teachers are the programs that teach a skill, each with the step.
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

// SkillLine is a skill with the programs that teach and need it.
func SkillLine(t *message.Printer, shelf *skill.Shelf, x newel.Skill) view.SkillLine {
	k := skill.Key(x.ID.String())
	line := view.SkillLine{Link: view.Link{Label: x.Name, Href: skillHref(x.ID)}, TaughtBy: teachers(t, shelf, k)}
	for _, p := range shelf.Users(k) {
		line.NeededBy = append(line.NeededBy, view.ProgramLink{Link: programLink(p)})
	}
	return line
}

// SkillOptions are the skills by which the library can be filtered.
func SkillOptions(shelf *skill.Shelf) []view.Option {
	var out []view.Option
	for _, k := range shelf.Used() {
		out = append(out, view.Option{Value: string(k), Label: shelf.Skill(k).Name})
	}
	return out
}
