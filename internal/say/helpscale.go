package say

import (
	"newel/internal/href"
	"newel/internal/program"
	"newel/internal/view"
)

// HelpScaleLine is one of the clinic's prompt hierarchies.
func HelpScaleLine(s program.HelpScale) view.HelpScaleLine {
	return view.HelpScaleLine{
		Link: view.Link{Label: s.Name, Href: href.HelpScale.To(s.ID)}, ID: s.ID, Levels: s.Levels,
	}
}
