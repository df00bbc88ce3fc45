package say

import (
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/program"
	"newel/internal/view"
)

// HelpScaleLine returns one of the clinic's prompt hierarchies.
func HelpScaleLine(s program.HelpScale) view.HelpScaleLine {
	return view.HelpScaleLine{
		Link: view.Link{Label: s.Name, Href: href.HelpScale.To(s.ID)}, ID: s.ID, Levels: s.Levels,
	}
}

// HelpScalesPage lists the clinic's prompt hierarchies.
func HelpScalesPage(t *message.Printer, list []program.HelpScale) view.HelpScalesPage {
	m := view.HelpScalesPage{T: t}
	for _, x := range list {
		if x.ArchivedAt != nil {
			m.Gone = append(m.Gone, HelpScaleLine(x))
			continue
		}
		m.Scales = append(m.Scales, HelpScaleLine(x))
	}
	return m
}
