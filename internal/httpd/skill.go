package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) skillRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Skills, Needs: newel.SeeLibrary, Handle: s.skills},
		{Method: http.MethodPost, Pattern: href.Skills, Needs: newel.PublishProgram, Handle: s.addSkill},
		{Method: http.MethodGet, Pattern: href.SkillMap, Needs: newel.SeeLibrary, Handle: s.skillMap},
		{Method: http.MethodGet, Pattern: string(href.Skill), Needs: newel.SeeLibrary, Handle: s.skill},
		{Method: http.MethodPost, Pattern: string(href.Skill), Needs: newel.PublishProgram, Handle: s.changeSkill},
		{Method: http.MethodPost, Pattern: string(href.SkillArchive), Needs: newel.PublishProgram, Handle: s.deed(s.archiveSkill)},
		{Method: http.MethodGet, Pattern: string(href.LearnerSkills), Needs: newel.SeeLearner, Handle: s.learnerSkills},
		{Method: http.MethodPost, Pattern: string(href.LearnerSkills), Needs: newel.Decide, Handle: s.noteSkill},
		{Method: http.MethodGet, Pattern: string(href.LearnerSkillMap), Needs: newel.SeeLearner, Handle: s.learnerSkillMap},
	}
}

func (s *Server) skills(w http.ResponseWriter, r *http.Request) error {
	return s.showSkills(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showSkills(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Skills(r.Context(), actor)
	if err != nil {
		return err
	}
	m := say.SkillsPage(t, v)
	if actor.Can(newel.PublishProgram) {
		add := s.formState(r, href.Skills, values, problems)
		m.Add = &add
	}
	return s.page(w, r, status, page{Title: t.Text("skills.title"), Section: "library", Notice: problems["form"]}, view.Skills(m))
}

func skillInput(values url.Values) app.SkillInput {
	return app.SkillInput{Name: values.Get("name"), Area: values.Get("area")}
}

func (s *Server) addSkill(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.AddSkill(r.Context(), mustActor(r), form, skillInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showSkills(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) skill(w http.ResponseWriter, r *http.Request) error {
	return s.showSkill(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showSkill(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.SkillID](r, "skill")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Skill(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.SkillPage(t, v)
	if actor.Can(newel.PublishProgram) {
		if values == nil {
			values = url.Values{"name": {v.Skill.Name}, "area": {v.Skill.Area}}
		}
		change := s.formState(r, href.Skill.To(id), values, problems)
		m.Change = &change
	}
	return s.page(w, r, status, page{Title: v.Skill.Name, Section: "library", Notice: problems["form"]}, view.SkillOf(m))
}

func (s *Server) changeSkill(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.SkillID](r, "skill")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.ChangeSkill(r.Context(), mustActor(r), form, id, skillInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showSkill(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) archiveSkill(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.SkillID](r, "skill")
	if err != nil {
		return "", err
	}
	return s.app.ArchiveSkill(r.Context(), mustActor(r), form, id, values.Get("do") != "back")
}

// skillPick is what the editor offers of the clinic's list.
func (s *Server) skillPick(r *http.Request, d *program.Document) (*view.SkillPick, error) {
	v, err := s.app.Skills(r.Context(), mustActor(r))
	if err != nil {
		return nil, err
	}
	return say.SkillPick(v, d), nil
}

// putSkill puts what was picked from the list behind a field's lines.
func putSkill(d *program.Document, field, name, step string) {
	if name = program.AsKept(name); name == "" {
		return
	}
	if step != "" {
		name += " (" + step + ")"
	}
	sheet := d.Sheet()
	sheet.Fields[field] = strings.TrimSpace(sheet.Fields[field] + "\n" + name)
	after := sheet.Document()
	after.CarryFrom(d)
	*d = after
}

// programSkills are the skills of a document, as links.
func (s *Server) programSkills(r *http.Request, m *view.ProgramPage) error {
	d := m.Document
	if d == nil || len(d.Needs)+len(d.Teaches) == 0 {
		return nil
	}
	v, err := s.app.Skills(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	say.FillSkills(m, v.Shelf)
	return nil
}
