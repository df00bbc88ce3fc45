package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) postTraining(r *http.Request, family newel.FamilyID, f sent) (string, error) {
	program, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return "", err
	}
	in := app.TrainingInput{Person: f.Get("person"), State: f.Get("state"), Note: f.Get("note")}
	return s.app.SetTraining(r.Context(), mustActor(r), f.token, family, program, in)
}

// showTraining shows the page. Refused input comes back at the person it is
// about.
func (s *Server) showTraining(w http.ResponseWriter, r *http.Request, family newel.FamilyID, f sent) error {
	program, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	p, err := s.app.Training(r.Context(), actor, family, program)
	if err != nil {
		return err
	}
	m := say.TrainingPage(t, p)
	if actor.Can(newel.TrainCaregiver) {
		for n, who := range p.People {
			form := s.formState(r, href.FamilyTraining.To(family, program), sent{})
			if f.Get("person") == who.ID.String() {
				form.Values, form.Errors = f.Values, f.problems
			}
			m.People[n].Form = &form
		}
	}
	title := t.Text("training.title", "program", p.Title)
	return s.page(w, r, f.status(), page{Title: title, Section: "families"}, view.TrainingIn(m))
}
