package say

import (
	"slices"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

// causesOf returns what the row's sessions show about each usual cause. The
// supervisor can ask about unknown ones.
func causesOf(t *message.Printer, i reading.CaseloadItem, stay view.Stay, mayAsk bool) []view.Cause {
	c := i.CheckFirst()
	causes := []view.Cause{
		{Name: t.Text("check.planned"), Known: planned(t, c)},
		{Name: t.Text("check.willing"), Known: willing(t, c)},
		{Name: t.Text("check.reward"), Known: rewards(t, c)},
		{Name: t.Text("check.before"), Known: before(t, c)},
		{Name: t.Text("check.where"), Known: where(t, stay, i.Detail.People, c)},
		{Name: t.Text("check.help"), Known: help(t, c)},
	}
	for n, about := range []string{"planned", "willing", "reward", "before", "where", "help"} {
		switch {
		case about == "planned" && mayAsk:
			causes[n].Do = &view.Link{Label: t.Text("check.look_on"), Href: href.PlacementFidelity.To(i.PlacementID)}
		case about == "where" || about == "help":
			causes[n].Do = &view.Link{Label: t.Text("check.open"), Href: href.Placement.To(i.PlacementID) + "#graph"}
		case mayAsk:
			causes[n].Do = &view.Link{Label: t.Text("check.ask"), Href: href.AskAbout(i.PlacementID, about)}
		}
	}
	return causes
}

func planned(t *message.Printer, c reading.CheckFirst) []string {
	if c.Fidelity == nil {
		return nil
	}
	done, of := c.Fidelity.Points.Share()
	lines := []string{t.Text("check.fidelity", "result", t.OutOf(done, of), "person", c.Fidelity.Person, "day", t.DayShort(c.Fidelity.TaughtOn))}
	if points := c.Fidelity.Points.With(newel.SeenNotDone); len(points) > 0 {
		lines = append(lines, t.Text("fidelity.otherwise", "points", t.List(points)))
	}
	return lines
}

func willing(t *message.Printer, c reading.CheckFirst) []string {
	if c.Offered == 0 {
		return nil
	}
	lines := []string{t.Text("check.said_no", "n", c.SaidNo, "of", c.Offered, "sessions", c.Sessions)}
	if c.StoppedEarly > 0 {
		lines = append(lines, t.Text("check.stopped", "n", c.StoppedEarly))
	}
	return lines
}

func rewards(t *message.Printer, c reading.CheckFirst) []string {
	if c.Reinforcing == "" {
		return nil
	}
	return []string{t.Text("check.plan_says", "text", c.Reinforcing)}
}

func before(t *message.Printer, c reading.CheckFirst) []string {
	var lines []string
	for _, n := range c.Needs {
		status := t.Text("skills.status_none")
		if n.Status != "" {
			status = statusText(t, n.Status)
		}
		lines = append(lines, t.Text("check.need", "skill", n.Name, "status", status))
	}
	for _, p := range c.Prerequisites {
		lines = append(lines, p.Text)
	}
	return lines
}

// where returns who taught, where and when. By person and by place, it takes
// the sessions that a flag about a difference looks at.
func where(t *message.Printer, stay view.Stay, people map[string]string, c reading.CheckFirst) []string {
	var lines []string
	for _, d := range divisionsOf(stay.Said) {
		if d.Breakdown != nil {
			lines = append(lines, d.line(t, people))
		}
		for _, part := range d.byTarget(stay) {
			lines = append(lines, t.Text("finding.target", "target", part.target, "text", part.line(t, people)))
		}
	}
	if stay.Said.Totals != nil || len(lines) > 0 {
		c.People, c.Places = nil, nil
	}
	places := slices.Clone(c.Places)
	for i := range places {
		places[i].Name = placeText(t, places[i].Name)
	}
	for _, list := range [][]reading.Share{c.People, places} {
		if len(list) > 0 {
			lines = append(lines, shares(t, list))
		}
	}
	var hours []reading.Share
	for _, s := range c.Hours {
		s.Name = t.Text("check.hour_" + s.Name)
		hours = append(hours, s)
	}
	if len(hours) > 0 {
		lines = append(lines, shares(t, hours))
	}
	return lines
}

func shares(t *message.Printer, list []reading.Share) string {
	parts := make([]string, len(list))
	for n, s := range list {
		parts[n] = t.Text("check.share", "name", s.Name, "result", t.OutOf(s.Correct, s.Of))
	}
	return t.List(parts)
}

func help(t *message.Printer, c reading.CheckFirst) []string {
	if c.Offered == 0 {
		return nil
	}
	return []string{t.Text("check.answers", "alone", c.Alone, "helped", c.Helped, "not_yet", c.NotYet, "none", c.NoResponse, "of", c.Offered)}
}
