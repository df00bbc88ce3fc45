package say

import (
	"strconv"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// FidelityPart returns an assignment's fidelity checks. may: the actor may add
// and withdraw them.
func FidelityPart(t *message.Printer, p reading.Progress, may bool) view.FidelityPart {
	zone := timezone.OrUTC(p.Family.TimeZone)
	m := view.FidelityPart{T: t}
	for _, f := range p.Fidelity {
		done, of := f.Points.Share()
		line := view.FidelityLine{
			Share: t.Text("fidelity.share", "result", t.OutOf(done, of)),
			Line: t.Text("fidelity.line", "person", f.PersonName, "day", f.TaughtOn, "how", t.Text("fidelity.watched_"+string(f.Watched)),
				"who", f.NotedByName),
			Note: f.Note,
		}
		if points := f.Points.With(newel.SeenNotDone); len(points) > 0 {
			line.Otherwise = t.Text("fidelity.otherwise", "points", t.List(points))
		}
		if points := f.Points.With(newel.NotSeen); len(points) > 0 {
			line.NotSeen = t.Text("fidelity.unseen", "points", t.List(points))
		}
		switch {
		case f.WithdrawnAt != nil:
			line.Withdrawn = t.Text("fidelity.withdrawn", "who", f.WithdrawnByName, "day", newel.DayOf(*f.WithdrawnAt, zone))
		case may:
			form := Form(t, href.FidelityWithdraw.To(f.PlacementID, f.ID), nil, nil)
			line.Withdraw = &form
		}
		m.Lines = append(m.Lines, line)
	}
	switch {
	case len(p.Version.Document.Checklist) == 0:
		m.NoList = t.Text("fidelity.no_list")
	case may:
		m.LookOn = &view.Link{Label: t.Text("fidelity.look_on"), Href: href.PlacementFidelity.To(p.Placement.ID)}
	}
	return m
}

// FidelityFormPage returns the form for a fidelity check.
func FidelityFormPage(t *message.Printer, p reading.Progress, people []newel.Person, form view.FormState) view.FidelityFormPage {
	m := view.FidelityFormPage{
		T: t, Up: PlacementCrumbs(t, p), Form: form, Title: t.Text("fidelity.title", "program", p.Version.Document.Title),
		Lead: t.Text("fidelity.lead", "step", p.Version.Document.StepTitle(p.Placement.StepKey)),
		Ask:  view.Link{Label: t.Text("fidelity.ask"), Href: href.AskAbout(p.Placement.ID, "planned")},
	}
	for _, who := range people {
		m.People = append(m.People, view.Option{Value: who.ID.String(), Label: who.Name})
	}
	for _, how := range newel.WatchedKinds {
		m.Watched = append(m.Watched, view.Option{Value: string(how), Label: t.Text("fidelity.watched_" + string(how))})
	}
	for n, text := range p.Version.Document.Checklist {
		name := SeenName(n)
		point := view.Field{T: t, Name: name, Label: text, Value: form.Values.Get(name), Error: form.Errors[name], Required: true}
		for _, seen := range newel.SeenKinds {
			point.Options = append(point.Options, view.Option{Value: string(seen), Label: t.Text("fidelity.seen_" + string(seen))})
		}
		m.Points = append(m.Points, point)
	}
	return m
}

// SeenName returns the field name of a point of the checklist.
func SeenName(n int) string { return "seen" + strconv.Itoa(n) }
