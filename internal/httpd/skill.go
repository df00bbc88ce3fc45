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
		{Method: http.MethodGet, Pattern: href.Skills, Needs: newel.SeeLibrary, Handle: form(s.showSkills)},
		{Method: http.MethodPost, Pattern: href.Skills, Needs: newel.PublishProgram, Handle: s.post(s.addSkill, s.showSkills)},
		{Method: http.MethodGet, Pattern: href.SkillMap, Needs: newel.SeeLibrary, Handle: s.skillMap},
		{Method: http.MethodGet, Pattern: string(href.Skill), Needs: newel.SeeLibrary, Handle: formAt("skill", s.showSkill)},
		{Method: http.MethodPost, Pattern: string(href.Skill), Needs: newel.PublishProgram, Handle: postAt(s, "skill", s.changeSkill, s.showSkill)},
		{Method: http.MethodPost, Pattern: string(href.SkillArchive), Needs: newel.PublishProgram, Handle: postAt(s, "skill", s.archiveSkill, nil)},
		{Method: http.MethodGet, Pattern: string(href.LearnerSkills), Needs: newel.SeeLearner, Handle: formAt("learner", s.showLearnerSkills)},
		{Method: http.MethodPost, Pattern: string(href.LearnerSkills), Needs: newel.Decide, Handle: postAt(s, "learner", s.recordSkill, s.showLearnerSkills)},
		{Method: http.MethodGet, Pattern: string(href.LearnerSkillMap), Needs: newel.SeeLearner, Handle: at("learner", s.learnerSkillMap)},
	}
}

func (s *Server) showSkills(w http.ResponseWriter, r *http.Request, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Skills(r.Context(), actor)
	if err != nil {
		return err
	}
	m := say.SkillsPage(t, v)
	if actor.Can(newel.PublishProgram) {
		add := s.formState(r, href.Skills, f)
		m.Add = &add
	}
	return s.page(w, r, f.status(), page{Title: t.Text("skills.title"), Section: "library", Notice: f.problems["form"]}, view.Skills(m))
}

func skillInput(values url.Values) app.SkillInput {
	return app.SkillInput{Name: values.Get("name"), Area: values.Get("area")}
}

func (s *Server) addSkill(r *http.Request, f sent) (string, error) {
	return s.app.AddSkill(r.Context(), mustActor(r), f.token, skillInput(f.Values))
}

func (s *Server) showSkill(w http.ResponseWriter, r *http.Request, id newel.SkillID, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.Skill(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.SkillPage(t, v)
	if actor.Can(newel.PublishProgram) {
		if f.Values == nil {
			f.Values = url.Values{"name": {v.Skill.Name}, "area": {v.Skill.Area}}
		}
		change := s.formState(r, href.Skill.To(id), f)
		m.Change = &change
	}
	return s.page(w, r, f.status(), page{Title: v.Skill.Name, Section: "library", Notice: f.problems["form"]}, view.SkillOf(m))
}

func (s *Server) changeSkill(r *http.Request, id newel.SkillID, f sent) (string, error) {
	return s.app.ChangeSkill(r.Context(), mustActor(r), f.token, id, skillInput(f.Values))
}

func (s *Server) archiveSkill(r *http.Request, id newel.SkillID, f sent) (string, error) {
	return s.app.ArchiveSkill(r.Context(), mustActor(r), f.token, id, f.Get("do") != "back")
}

// skillPick returns the skills that the editor offers from the clinic's list.
func (s *Server) skillPick(r *http.Request, d *program.Document) (*view.SkillPick, error) {
	v, err := s.app.Skills(r.Context(), mustActor(r))
	if err != nil {
		return nil, err
	}
	return say.SkillPick(v, d), nil
}

// putSkill appends the selected skill to a field's lines.
func putSkill(d *program.Document, field, name, step string) {
	if name = program.Normalize(name); name == "" {
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

// programSkills adds the skills of a document as links.
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
