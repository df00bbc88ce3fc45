package view

import (
	"strings"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

// HelpScalesPage is the clinic's scales of help.
type HelpScalesPage struct {
	T      *message.Printer
	Scales []HelpScaleLine
	Gone   []HelpScaleLine // out of use
	Add    *FormState      // nil: not by this person
}

// HelpScaleLine is one of them.
type HelpScaleLine struct {
	Link
	ID     newel.HelpScaleID
	Levels []program.HelpLevel
}

// Said is the scale in one line.
func (l HelpScaleLine) Said() string {
	names := make([]string, len(l.Levels))
	for i, level := range l.Levels {
		names[i] = level.Name
	}
	return l.Label + ": " + strings.Join(names, " → ")
}

// HelpScalePage is one of them, to be changed.
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
