package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
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
	m := say.LearnerSkillsPage(t, actor, v)
	if actor.Can(newel.Decide) {
		if values == nil {
			values = url.Values{"on": {v.Today.String()}, "skill": {chosenSkill(r, v)}}
		}
		note := s.formState(r, href.LearnerSkills.To(id), values, problems)
		m.Note, m.Statuses = &note, say.StatusField(note)
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
