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
		{Method: http.MethodGet, Pattern: href.Incidents, Needs: newel.TeachToday, Handle: form(s.ownIncidents)},
		{Method: http.MethodPost, Pattern: href.Incidents, Needs: newel.TeachToday, Handle: s.post(s.recordOwnIncident, s.ownIncidents)},
		{Method: http.MethodPost, Pattern: string(href.Incident), Needs: newel.TeachToday, Handle: postAt(s, "incident", s.addToIncident, s.ownIncident)},
		{Method: http.MethodGet, Pattern: string(href.LearnerIncidents), Needs: newel.SeeLearner, Handle: formAt("learner", s.incidents)},
		{Method: http.MethodPost, Pattern: string(href.LearnerIncidents), Needs: newel.Decide, Handle: postAt(s, "learner", s.recordIncident, s.incidents)},
		{Method: http.MethodPost, Pattern: string(href.LearnerIncident), Needs: newel.Decide, Handle: postAt(s, "learner", s.answerIncident, s.incident)},
	}
}

func incidentInput(values url.Values) app.IncidentInput {
	return app.IncidentInput{
		Learner: values.Get("learner"), HappenedOn: values.Get("happened_on"), AboutWhen: values.Get("about_when"), Before: values.Get("before"),
		Saw: values.Get("saw"), After: values.Get("after"), Helped: values.Get("helped"), Minutes: values.Get("minutes"), Hurt: values.Get("hurt"),
	}
}

func (s *Server) ownIncidents(w http.ResponseWriter, r *http.Request, f sent) error {
	return s.showOwnIncidents(w, r, f.status(), say.Typed{Values: f.Values, Problems: f.problems})
}

// ownIncident shows the same page; f is the submitted note on one of them.
func (s *Server) ownIncident(w http.ResponseWriter, r *http.Request, id newel.IncidentID, f sent) error {
	return s.showOwnIncidents(w, r, f.status(), say.Typed{Under: id.String(), Values: f.Values, Problems: f.problems})
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

func (s *Server) incidents(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	return s.showIncidents(w, r, f.status(), id, say.Typed{Values: f.Values, Problems: f.problems})
}

// incident shows the same page; f is the submitted answer to one of them.
func (s *Server) incident(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	return s.showIncidents(w, r, f.status(), id, say.Typed{Under: r.PathValue("incident"), Values: f.Values, Problems: f.problems})
}

func (s *Server) showIncidents(w http.ResponseWriter, r *http.Request, status int, id newel.LearnerID, d say.Typed) error {
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

func (s *Server) recordOwnIncident(r *http.Request, f sent) (string, error) {
	return s.app.RecordOwnIncident(r.Context(), mustActor(r), f.token, incidentInput(f.Values))
}

func (s *Server) addToIncident(r *http.Request, id newel.IncidentID, f sent) (string, error) {
	return s.app.AddToIncident(r.Context(), mustActor(r), f.token, id, f.Get("note"))
}

func (s *Server) recordIncident(r *http.Request, id newel.LearnerID, f sent) (string, error) {
	return s.app.RecordIncident(r.Context(), mustActor(r), f.token, id, incidentInput(f.Values))
}

func (s *Server) answerIncident(r *http.Request, _ newel.LearnerID, f sent) (string, error) {
	id, err := pathID[newel.IncidentID](r, "incident")
	if err != nil {
		return "", err
	}
	return s.app.AnswerIncident(r.Context(), mustActor(r), f.token, id, f.Get("note"), f.Get("follows") == "yes")
}
