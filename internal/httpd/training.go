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

func (s *Server) trainingPage(w http.ResponseWriter, r *http.Request) error {
	return s.showTraining(w, r, http.StatusOK, nil, nil)
}

func (s *Server) postTraining(w http.ResponseWriter, r *http.Request) error {
	family, program, err := familyAndProgram(r)
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		in := app.TrainingInput{Person: values.Get("person"), State: values.Get("state"), Note: values.Get("note")}
		to, err = s.app.SetTraining(r.Context(), mustActor(r), form, family, program, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showTraining(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func familyAndProgram(r *http.Request) (newel.FamilyID, newel.ProgramID, error) {
	family, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return family, newel.ProgramID{}, err
	}
	program, err := pathID[newel.ProgramID](r, "program")
	return family, program, err
}

// showTraining shows the page; what was typed and is wrong stands with the
// person it is about.
func (s *Server) showTraining(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	family, program, err := familyAndProgram(r)
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
			form := s.formState(r, href.FamilyTraining.To(family, program), nil, nil)
			if values.Get("person") == who.ID.String() {
				form.Values, form.Errors = values, problems
			}
			m.People[n].Form = &form
		}
	}
	title := t.Text("training.title", "program", p.Title)
	return s.page(w, r, status, page{Title: title, Section: "families"}, view.TrainingIn(m))
}
