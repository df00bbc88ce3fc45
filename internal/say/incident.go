package say

import (
	"cmp"
	"net/url"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
	"newel/internal/view"
)

// Typed is what was typed into one of a page's forms, and its problems; zero if
// nothing was typed.
type Typed struct {
	Under    string // the incident of the form; empty for the form for a new one
	Values   url.Values
	Problems map[string]string
}

// of returns what was typed into the form under an incident, or nil for other
// forms.
func (d Typed) of(under string) (url.Values, map[string]string) {
	if d.Under != under {
		return nil, nil
	}
	return d.Values, d.Problems
}

// IncidentsAt holds the form addresses of an incidents page: for a new
// incident, and for additions to one.
type IncidentsAt struct {
	Note string
	Add  func(newel.IncidentID) string
}

// IncidentsPage returns incidents with a form for a new one and forms for
// additions.
func IncidentsPage(t *message.Printer, list []newel.Incident, today newel.Day, at IncidentsAt, d Typed) view.IncidentsPage {
	values, problems := d.of("")
	if values == nil {
		values = url.Values{"happened_on": {today.String()}}
	}
	form := Form(t, at.Note, values, problems)
	m := view.IncidentsPage{T: t, Form: &form}
	for _, i := range list {
		values, problems := d.of(i.ID.String())
		add := Form(t, at.Add(i.ID), values, problems)
		line := incidentLine(t, i)
		line.Add = &add
		m.Lines = append(m.Lines, line)
	}
	return m
}

func incidentLine(t *message.Printer, i newel.Incident) view.IncidentLine {
	zone := timezone.OrUTC(i.TimeZone)
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

// IncidentCalls returns the incidents without a response from the clinic.
func IncidentCalls(t *message.Printer, list []newel.Incident) []view.UnansweredLine {
	var lines []view.UnansweredLine
	for _, i := range list {
		line := incidentLine(t, i)
		under := line.By
		if line.Hurt != "" {
			under = line.Hurt + " " + under
		}
		lines = append(lines, view.UnansweredLine{Who: line.Heading, Href: href.LearnerIncidents.To(i.LearnerID), Text: i.Saw, Under: under})
	}
	return lines
}
