package httpd

import (
	"cmp"
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
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

// typed is what was typed into one of the forms of a page, and what is wrong
// with it; the zero value: nothing was.
type typed struct {
	under    string // the incident of the form; empty: the form of a new one
	values   url.Values
	problems map[string]string
}

// of is what was typed into a form, and nothing for the others.
func (d typed) of(under string) (url.Values, map[string]string) {
	if d.under != under {
		return nil, nil
	}
	return d.values, d.problems
}

func (s *Server) ownIncidents(w http.ResponseWriter, r *http.Request) error {
	return s.showOwnIncidents(w, r, http.StatusOK, typed{})
}

func (s *Server) showOwnIncidents(w http.ResponseWriter, r *http.Request, status int, d typed) error {
	t := s.printer(r)
	learners, list, today, err := s.app.OwnIncidents(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := incidentsPage(t, list, today, incidentsAt{href.Incidents, href.Incident.To}, d)
	m.Title = t.Text("incident.title")
	for _, l := range learners {
		m.Learners = append(m.Learners, view.Option{Value: l.ID.String(), Label: l.Nickname})
	}
	return s.page(w, r, status, page{Title: m.Title, Kind: caregiverLayout, Notice: d.problems["form"]}, view.Incidents(m))
}

func (s *Server) incidents(w http.ResponseWriter, r *http.Request) error {
	return s.showIncidents(w, r, http.StatusOK, typed{})
}

func (s *Server) showIncidents(w http.ResponseWriter, r *http.Request, status int, d typed) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	l, list, today, err := s.app.Incidents(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := incidentsPage(t, list, today, incidentsAt{href.LearnerIncidents.To(id), func(i newel.IncidentID) string { return href.LearnerIncident.To(id, i) }}, d)
	m.Title = t.Text("incident.with", "learner", l.Nickname)
	m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: l.Nickname, Href: href.Learner.To(id)}}
	m.Duty = t.Text("incident.duty")
	if !actor.Can(newel.Decide) {
		m.Form = nil
		for i := range m.Lines {
			m.Lines[i].Add = nil
		}
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "families", Notice: d.problems["form"]}, view.Incidents(m))
}

// incidentsAt is where the forms of a page of incidents are sent: a new one,
// and what is added to one.
type incidentsAt struct {
	note string
	add  func(newel.IncidentID) string
}

func incidentsPage(t *message.Printer, list []newel.Incident, today newel.Day, at incidentsAt, d typed) view.IncidentsPage {
	values, problems := d.of("")
	if values == nil {
		values = url.Values{"happened_on": {today.String()}}
	}
	form := formIn(t, at.note, values, problems)
	m := view.IncidentsPage{T: t, Form: &form}
	for _, i := range list {
		values, problems := d.of(i.ID.String())
		add := formIn(t, at.add(i.ID), values, problems)
		line := incidentLine(t, i)
		line.Add = &add
		m.Lines = append(m.Lines, line)
	}
	return m
}

func incidentLine(t *message.Printer, i newel.Incident) view.IncidentLine {
	zone := zoneOf(i.TimeZone)
	who := func(name string) string { return cmp.Or(name, t.Text("review.somebody")) }
	line := view.IncidentLine{
		ID: i.ID.String(), Open: i.SettledAt == nil, Heading: t.Text("incident.heading", "learner", i.LearnerName, "day", i.HappenedOn),
		By: t.Text("incident.by", "who", who(i.WrittenByName), "day", newel.DayOf(i.WrittenAt, zone)), State: t.Text("incident.waits"),
	}
	if i.SettledAt != nil {
		line.State = t.Text("incident.settled", "who", who(i.SettledByName), "day", newel.DayOf(*i.SettledAt, zone))
	}
	if i.Hurt {
		line.Hurt = t.Text("incident.somebody_hurt")
	}
	minutes := ""
	if i.Minutes != nil {
		minutes = t.Text("incident.lasted", "n", *i.Minutes)
	}
	for _, fact := range []view.IncidentFact{
		{Name: t.Text("incident.about_when"), Text: i.AboutWhen},
		{Name: t.Text("incident.before"), Text: i.Before},
		{Name: t.Text("incident.saw"), Text: i.Saw},
		{Name: t.Text("incident.after"), Text: i.After},
		{Name: t.Text("incident.minutes"), Text: minutes},
		{Name: t.Text("incident.helped"), Text: i.Helped},
	} {
		if fact.Text != "" {
			line.Facts = append(line.Facts, fact)
		}
	}
	for _, n := range i.Notes {
		line.Notes = append(line.Notes, view.IncidentFact{Name: t.Text("incident.by", "who", who(n.Who), "day", newel.DayOf(n.At, zone)), Text: n.Text})
	}
	return line
}

func (s *Server) noteOwnIncident(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.NoteOwnIncident(r.Context(), mustActor(r), form, incidentInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showOwnIncidents(w, r, http.StatusUnprocessableEntity, typed{values: values, problems: problems})
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
		return s.showOwnIncidents(w, r, http.StatusUnprocessableEntity, typed{id.String(), values, problems})
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
		return s.showIncidents(w, r, http.StatusUnprocessableEntity, typed{values: values, problems: problems})
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
		return s.showIncidents(w, r, http.StatusUnprocessableEntity, typed{id.String(), values, problems})
	})
}

// incidentCalls are the incidents of which the clinic has not said what
// follows.
func incidentCalls(t *message.Printer, list []newel.Incident) []view.WaitingLine {
	var lines []view.WaitingLine
	for _, i := range list {
		line := incidentLine(t, i)
		under := line.By
		if line.Hurt != "" {
			under = line.Hurt + " " + under
		}
		lines = append(lines, view.WaitingLine{Who: line.Heading, Href: href.LearnerIncidents.To(i.LearnerID), Text: i.Saw, Under: under})
	}
	return lines
}
