package say

import (
	"slices"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
	"newel/internal/view"
)

// StatusField returns the field for a learner's status in a skill.
func StatusField(f view.FormState) view.Field {
	field := f.Needed("status", "skills.status")
	for _, s := range newel.SkillStatuses {
		field.Options = append(field.Options, view.Option{Value: string(s), Label: statusText(f.T, s), Hint: f.T.Text("skills.what_" + string(s))})
	}
	return field
}

// proposedSkill returns a skill that can be recorded because a step was met.
func proposedSkill(t *message.Printer, p app.ProposedSkill) view.ProposedSkill {
	return view.ProposedSkill{
		Skill: skillLink(p.Skill), Text: t.Text("skills.met_at", "step", p.On.Step, "program", p.On.Program, "day", p.On.MetOn),
		Stay: href.Placement.To(p.On.PlacementID), Token: NewToken(),
		Name: p.Skill.Name, On: p.On.MetOn.String(), Placement: p.On.PlacementID.String(),
	}
}

// fillNotes adds the recorded evidence by area, and the skills that only
// programs mention.
func fillNotes(t *message.Printer, m *view.LearnerSkillsPage, v app.LearnerSkills) {
	notes := map[newel.SkillID][]view.SkillNoteLine{}
	for _, n := range v.Notes {
		notes[n.SkillID] = append(notes[n.SkillID], noteLine(t, n))
	}
	latest, used := v.Latest(), v.Shelf.Used()
	for _, x := range v.Skills {
		line := view.LearnerSkill{
			Skill: view.Link{Label: x.Name, Href: skillHref(x.ID)}, Again: href.LearnerSkill(m.ID, x.ID), Notes: notes[x.ID], Had: latest[x.ID].Status.Has(),
		}
		if x.ArchivedAt == nil {
			m.Names = append(m.Names, x.Name)
		}
		if len(line.Notes) == 0 {
			if slices.Contains(used, skill.Key(x.ID.String())) {
				m.Unknown = append(m.Unknown, line)
			}
			continue
		}
		if n := len(m.Areas); n == 0 || m.Areas[n-1].Name != x.Area {
			m.Areas = append(m.Areas, view.LearnerSkillArea{Name: x.Area})
		}
		last := &m.Areas[len(m.Areas)-1]
		last.Skills = append(last.Skills, line)
	}
	if n := len(m.Areas); n > 1 && m.Areas[0].Name == "" { // skills without an area come last
		m.Areas = append(m.Areas[1:], m.Areas[0])
	}
}

// fillOrder adds the suggested order of programs, and those that wait for a
// skill.
func fillOrder(t *message.Printer, m *view.LearnerSkillsPage, v app.LearnerSkills, mayAssign bool) {
	for _, p := range v.Order {
		line := view.OrderLine{Program: programLink(p.Program)}
		add := func(key, name string, list []string) {
			if len(list) > 0 {
				line.Lines = append(line.Lines, t.Text(key, name, strings.Join(list, ", ")))
			}
		}
		add("skills.order_after", "programs", titlesOf(p.After))
		add("skills.order_gains", "skills", skillNames(v.Shelf, p.Gains))
		add("skills.order_opens", "programs", titlesOf(p.Opens))
		switch {
		case p.Taught:
			line.State = taughtText(t, v.At[p.Program.ID])
		case mayAssign && len(p.After) == 0:
			line.Assign = href.AssignProgram(v.Learner.ID, p.Program.ID)
		}
		m.Order = append(m.Order, line)
	}
	for _, w := range v.Blocked {
		line := view.OrderLine{Program: programLink(w.Program), Lines: []string{t.Text("skills.waiting_lacks", "skills", strings.Join(skillNames(v.Shelf, w.Missing), ", "))}}
		if v.Taught[w.Program.ID] {
			line.State = taughtText(t, v.At[w.Program.ID])
		}
		m.Blocked = append(m.Blocked, line)
	}
}

func taughtText(t *message.Printer, at []string) string {
	if len(at) == 0 {
		return t.Text("skills.order_taught")
	}
	return t.Text("skills.order_taught_at", "step", strings.Join(at, ", "))
}

func titlesOf(programs []skill.Program) []string {
	var out []string
	for _, p := range programs {
		out = append(out, p.Title)
	}
	return out
}

func skillNames(shelf *skill.Shelf, keys []skill.Key) []string {
	var out []string
	for _, k := range keys {
		out = append(out, shelf.Skill(k).Name)
	}
	return out
}

// lackingHint adds what the learner lacks to a program's hint and to the list
// of everything lacking.
func lackingHint(t *message.Printer, m *view.AssignPage, v app.LearnerSkills, p program.Summary) string {
	program, there := v.Shelf.Program(p.ID)
	missing := v.Shelf.Missing(program, v.Has)
	if !there || len(missing) == 0 {
		return p.SkillArea
	}
	for _, k := range missing {
		x := v.Shelf.Skill(k)
		i := slices.IndexFunc(m.Lacking, func(l view.LackingSkill) bool { return l.Skill.Label == x.Name })
		if i < 0 {
			i = len(m.Lacking)
			l := view.LackingSkill{Skill: skillLink(x), TaughtBy: teachers(t, v.Shelf, k)}
			if !x.ID.IsZero() {
				l.Note = href.LearnerSkill(v.Learner.ID, x.ID)
			}
			for j, teacher := range v.Shelf.Teachers(k) {
				switch {
				case v.Taught[teacher.ID]:
					l.TaughtBy[j].At = joinWords(l.TaughtBy[j].At, taughtText(t, v.At[teacher.ID]))
				case v.Finished[teacher.ID]:
					l.TaughtBy[j].At = joinWords(l.TaughtBy[j].At, t.Text("skills.map_finished"))
				}
			}
			m.Lacking = append(m.Lacking, l)
		}
		m.Lacking[i].NeededBy = append(m.Lacking[i].NeededBy, p.Title)
	}
	lacks := t.Text("assign.lacks", "skills", strings.Join(skillNames(v.Shelf, missing), ", "))
	if p.SkillArea == "" {
		return lacks
	}
	return p.SkillArea + ". " + lacks
}

func statusText(t *message.Printer, status newel.SkillStatus) string {
	return t.Text("skills.status_" + string(status))
}

// noteLine returns the evidence for a skill, its author and its source.
func noteLine(t *message.Printer, n newel.SkillNote) view.SkillNoteLine {
	line := view.SkillNoteLine{Status: statusText(t, n.Status), Noted: t.Text("skills.noted_by_nobody", "day", n.NotedOn), Evidence: n.Evidence}
	if n.RecordedByName != "" {
		line.Noted = t.Text("skills.noted", "day", n.NotedOn, "who", n.RecordedByName)
	}
	if n.PlacementID != nil {
		line.Stay = &view.Link{Label: t.Text("skills.from_step"), Href: href.Placement.To(*n.PlacementID)}
	}
	return line
}

// LearnerSkillsPage returns what a learner can do, and which programs come
// next.
func LearnerSkillsPage(t *message.Printer, actor newel.Actor, v app.LearnerSkills) view.LearnerSkillsPage {
	m := view.LearnerSkillsPage{T: t, Name: v.Learner.Nickname, Crumbs: LearnerCrumbs(t, v), ID: v.Learner.ID}
	for _, p := range v.Proposed {
		m.Proposed = append(m.Proposed, proposedSkill(t, p))
	}
	fillNotes(t, &m, v)
	fillOrder(t, &m, v, actor.Can(newel.AssignProgram))
	return m
}
