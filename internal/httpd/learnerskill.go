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

func (s *Server) showLearnerSkills(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	v, err := s.app.LearnerSkills(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.LearnerSkillsPage(t, actor, v)
	if actor.Can(newel.Decide) {
		if f.Values == nil {
			f.Values = url.Values{"on": {v.Today.String()}, "skill": {chosenSkill(r, v)}}
		}
		note := s.formState(r, href.LearnerSkills.To(id), f)
		m.Note, m.Statuses = &note, say.StatusField(note)
	}
	return s.page(w, r, f.status(), page{Title: t.Text("skills.of", "name", m.Name), Section: "families", Notice: f.problems["form"]}, view.LearnerSkills(m))
}

// chosenSkill returns the name of the skill in the query, if it exists.
func chosenSkill(r *http.Request, v app.LearnerSkills) string {
	for _, x := range v.Skills {
		if x.ID.String() == r.URL.Query().Get("skill") {
			return x.Name
		}
	}
	return ""
}

func (s *Server) recordSkill(r *http.Request, id newel.LearnerID, f sent) (string, error) {
	return s.app.RecordSkill(r.Context(), mustActor(r), f.token, id, app.SkillNoteInput{
		Skill: f.Get("skill"), Status: f.Get("status"), On: f.Get("on"), Evidence: f.Get("evidence"), Placement: f.Get("placement"),
	})
}
