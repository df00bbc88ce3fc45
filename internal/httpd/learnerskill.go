package httpd

import (
	"net/http"
	"net/url"
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

func (s *Server) learnerSkills(w http.ResponseWriter, r *http.Request) error {
	return s.showLearnerSkills(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showLearnerSkills(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.LearnerSkills(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := view.LearnerSkillsPage{T: t, Name: v.Learner.Nickname, Crumbs: learnerCrumbs(t, v), ID: id}
	for _, p := range v.Proposed {
		m.Proposed = append(m.Proposed, proposedSkill(t, p))
	}
	fillNotes(t, &m, v)
	order(t, &m, v, actor.Can(newel.AssignProgram))
	if actor.Can(newel.Decide) {
		if values == nil {
			values = url.Values{"on": {v.Today.String()}, "skill": {chosenSkill(r, v)}}
		}
		note := s.formState(r, href.LearnerSkills.To(id), values, problems)
		m.Note, m.Statuses = &note, statusField(note)
	}
	return s.page(w, r, status, page{Title: t.Text("skills.of", "name", m.Name), Section: "families", Notice: problems["form"]}, view.LearnerSkills(m))
}

// chosenSkill is the name of the skill that the query chose, if there is one.
func chosenSkill(r *http.Request, v app.LearnerSkills) string {
	for _, x := range v.Skills {
		if x.ID.String() == r.URL.Query().Get("skill") {
			return x.Name
		}
	}
	return ""
}

func statusField(f view.FormState) view.Field {
	field := f.Needed("status", "skills.status")
	for _, s := range newel.SkillStatuses {
		field.Options = append(field.Options, view.Option{Value: string(s), Label: statusText(f.T, s), Hint: f.T.Text("skills.what_" + string(s))})
	}
	return field
}

func proposedSkill(t *message.Printer, p app.ProposedSkill) view.ProposedSkill {
	return view.ProposedSkill{
		Skill: skillLink(p.Skill), Text: t.Text("skills.met_at", "step", p.On.Step, "program", p.On.Program, "day", p.On.MetOn),
		Stay: href.Placement.To(p.On.PlacementID), Token: newToken(),
		Name: p.Skill.Name, On: p.On.MetOn.String(), Placement: p.On.PlacementID.String(),
	}
}

// fillNotes fills in what was noted, by area, and what programs name beside that.
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
	if n := len(m.Areas); n > 1 && m.Areas[0].Name == "" { // those without an area come last
		m.Areas = append(m.Areas[1:], m.Areas[0])
	}
}

func order(t *message.Printer, m *view.LearnerSkillsPage, v app.LearnerSkills, mayAssign bool) {
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
	for _, w := range v.Waiting {
		line := view.OrderLine{Program: programLink(w.Program), Lines: []string{t.Text("skills.waiting_lacks", "skills", strings.Join(skillNames(v.Shelf, w.Missing), ", "))}}
		if v.Taught[w.Program.ID] {
			line.State = taughtText(t, v.At[w.Program.ID])
		}
		m.Waiting = append(m.Waiting, line)
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

func (s *Server) noteSkill(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	in := app.NoteSkillInput{
		Skill: values.Get("skill"), Status: values.Get("status"), On: values.Get("on"), Evidence: values.Get("evidence"), Placement: values.Get("placement"),
	}
	to := ""
	if err == nil {
		to, err = s.app.NoteSkill(r.Context(), mustActor(r), form, id, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showLearnerSkills(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

// lackingHint says under a program what the learner lacks for it, and adds that
// to the list of everything that is lacking.
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
