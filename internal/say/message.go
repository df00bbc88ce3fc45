package say

import (
	"cmp"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// MessagesAt holds the form addresses of a messages page.
type MessagesAt struct{ Write, Read string }

// MessagesPage returns messages, for the clinic or for a family.
func MessagesPage(t *message.Printer, list []newel.Message, clinic bool, at MessagesAt, values url.Values, problems map[string]string) view.MessagesPage {
	form := Form(t, at.Write, values, problems)
	m := view.MessagesPage{T: t, Form: &form, Cut: len(list) == app.MaxMessages}
	if len(list) > 0 {
		m.Until = list[0].ID.String()
	}
	for _, msg := range list {
		zone := timezone.OrUTC(msg.TimeZone)
		line := view.MessageLine{
			Text: msg.Text, Own: msg.FromClinic == clinic,
			Who: t.Text("messages.who", "who", cmp.Or(msg.WrittenByName, t.Text("review.somebody")), "day", newel.DayOf(msg.WrittenAt, zone), "time", msg.WrittenAt.In(zone).Format("15:04")),
		}
		switch {
		case msg.ReadAt != nil:
			line.Read = t.Text("messages.read_by", "who", cmp.Or(msg.ReadByName, t.Text("review.somebody")), "day", newel.DayOf(*msg.ReadAt, zone))
		case line.Own:
			line.Read = t.Text("messages.unread")
		default:
			line.New = t.Text("messages.new")
			if m.Read == nil {
				read := Form(t, at.Read, nil, nil)
				m.Read = &read
			}
		}
		m.Lines = append(m.Lines, line)
	}
	return m
}

// UnreadLines returns the families with unread messages to the clinic.
func UnreadLines(t *message.Printer, c reading.Caseload) []view.UnansweredLine {
	var lines []view.UnansweredLine
	for _, w := range c.Unread {
		who := w.FamilyName
		if w.Who != "" {
			who = t.Text("messages.of", "who", w.Who, "family", w.FamilyName)
		}
		lines = append(lines, view.UnansweredLine{
			Who: who, Href: href.FamilyMessages.To(w.Family), Text: w.Text,
			Under: t.Text("messages.waits", "n", w.N, "day", newel.DayOf(w.At, c.Zone)),
		})
	}
	return lines
}
