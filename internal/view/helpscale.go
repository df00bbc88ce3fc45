package view

import (
	"strings"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

// HelpScalesPage lists the clinic's prompt hierarchies.
type HelpScalesPage struct {
	T      *message.Printer
	Scales []HelpScaleLine
	Gone   []HelpScaleLine // archived
	Add    *FormState      // nil if this person may not add any
}

// HelpScaleLine is one prompt hierarchy.
type HelpScaleLine struct {
	Link
	ID     newel.HelpScaleID
	Levels []program.HelpLevel
}

// Said returns the hierarchy in one line.
func (l HelpScaleLine) Said() string {
	names := make([]string, len(l.Levels))
	for i, level := range l.Levels {
		names[i] = level.Name
	}
	return l.Label + ": " + strings.Join(names, " → ")
}

// HelpScalePage is the form for changing a prompt hierarchy.
type HelpScalePage struct {
	T        *message.Printer
	Scale    HelpScaleLine
	Archived bool
	Archive  string // token
	Change   *FormState
}

func (m DraftPage) scaleField() Field {
	return Field{Name: "scale_pick", Label: m.T.Text("draft.scale_pick"), Plain: true, Options: m.HelpScales}
}
