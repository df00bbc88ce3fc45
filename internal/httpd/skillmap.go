package httpd

import (
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) skillMap(w http.ResponseWriter, r *http.Request) error {
	t := s.printer(r)
	v, err := s.app.Skills(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := say.SkillMapPage(t, v.Shelf, nil)
	m.Title, m.Here = t.Text("skills.map_title"), t.Text("skills.map")
	m.Crumbs = []view.Link{{Label: t.Text("library.title"), Href: href.Programs}, {Label: t.Text("skills.title"), Href: href.Skills}}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Section: "library"}, view.SkillMap(m))
}

func (s *Server) learnerSkillMap(w http.ResponseWriter, r *http.Request, id newel.LearnerID) error {
	t := s.printer(r)
	v, err := s.app.LearnerSkills(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	m := say.SkillMapPage(t, v.Shelf, &v)
	m.Title, m.Here = t.Text("skills.map_of", "name", v.Learner.Nickname), t.Text("skills.map")
	m.Crumbs = append(say.LearnerCrumbs(t, v), view.Link{Label: t.Text("skills.title"), Href: href.LearnerSkills.To(id)})
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Section: "families"}, view.SkillMap(m))
}
