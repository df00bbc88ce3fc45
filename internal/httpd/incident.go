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

func (s *Server) incidentRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Incidents, Needs: newel.TeachToday, Handle: s.ownIncidents},
		{Method: http.MethodPost, Pattern: href.Incidents, Needs: newel.TeachToday, Handle: s.noteOwnIncident},
		{Method: http.MethodPost, Pattern: string(href.Incident), Needs: newel.TeachToday, Handle: s.addToIncident},
		{Method: http.MethodGet, Pattern: string(href.LearnerIncidents), Needs: newel.SeeLearner, Handle: s.incidents},
		{Method: http.MethodPost, Pattern: string(href.LearnerIncidents), Needs: newel.Decide, Handle: s.noteIncident},
		{Method: http.MethodPost, Pattern: string(href.LearnerIncident), Needs: newel.Decide, Handle: s.answerIncident},
	}
}

func incidentInput(values url.Values) app.IncidentInput {
	return app.IncidentInput{
		Learner: values.Get("learner"), HappenedOn: values.Get("happened_on"), AboutWhen: values.Get("about_when"), Before: values.Get("before"),
		Saw: values.Get("saw"), After: values.Get("after"), Helped: values.Get("helped"), Minutes: values.Get("minutes"), Hurt: values.Get("hurt"),
	}
}

func (s *Server) ownIncidents(w http.ResponseWriter, r *http.Request) error {
	return s.showOwnIncidents(w, r, http.StatusOK, say.Typed{})
}

func (s *Server) showOwnIncidents(w http.ResponseWriter, r *http.Request, status int, d say.Typed) error {
	t := s.printer(r)
	learners, list, today, err := s.app.OwnIncidents(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := say.IncidentsPage(t, list, today, say.IncidentsAt{Note: href.Incidents, Add: href.Incident.To}, d)
	m.Title = t.Text("incident.title")
	for _, l := range learners {
		m.Learners = append(m.Learners, view.Option{Value: l.ID.String(), Label: l.Nickname})
	}
	return s.page(w, r, status, page{Title: m.Title, Kind: caregiverLayout, Notice: d.Problems["form"]}, view.Incidents(m))
}

func (s *Server) incidents(w http.ResponseWriter, r *http.Request) error {
	return s.showIncidents(w, r, http.StatusOK, say.Typed{})
}

func (s *Server) showIncidents(w http.ResponseWriter, r *http.Request, status int, d say.Typed) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	l, list, today, err := s.app.Incidents(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.IncidentsPage(t, list, today, say.IncidentsAt{Note: href.LearnerIncidents.To(id), Add: func(i newel.IncidentID) string { return href.LearnerIncident.To(id, i) }}, d)
	m.Title = t.Text("incident.with", "learner", l.Nickname)
	m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: l.Nickname, Href: href.Learner.To(id)}}
	m.Duty = t.Text("incident.duty")
	if !actor.Can(newel.Decide) {
		m.Form = nil
		for i := range m.Lines {
			m.Lines[i].Add = nil
		}
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "families", Notice: d.Problems["form"]}, view.Incidents(m))
}

func (s *Server) noteOwnIncident(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.NoteOwnIncident(r.Context(), mustActor(r), form, incidentInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showOwnIncidents(w, r, http.StatusUnprocessableEntity, say.Typed{Values: values, Problems: problems})
	})
}

func (s *Server) addToIncident(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.IncidentID](r, "incident")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.AddToIncident(r.Context(), mustActor(r), form, id, values.Get("note"))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showOwnIncidents(w, r, http.StatusUnprocessableEntity, say.Typed{Under: id.String(), Values: values, Problems: problems})
	})
}

func (s *Server) noteIncident(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.NoteIncident(r.Context(), mustActor(r), form, id, incidentInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showIncidents(w, r, http.StatusUnprocessableEntity, say.Typed{Values: values, Problems: problems})
	})
}

func (s *Server) answerIncident(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.IncidentID](r, "incident")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.AnswerIncident(r.Context(), mustActor(r), form, id, values.Get("note"), values.Get("follows") == "yes")
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showIncidents(w, r, http.StatusUnprocessableEntity, say.Typed{Under: id.String(), Values: values, Problems: problems})
	})
}
