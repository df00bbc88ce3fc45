package view

import (
	"newel/internal/message"
	"newel/internal/newel"
)

// TrainingPart lists programs on a family's page, with each person's training.
type TrainingPart struct {
	T     *message.Printer
	Lines []TrainingLine
}

// TrainingLine is one program.
type TrainingLine struct {
	Title, Href string
	People      []TrainedLine
}

// TrainedLine is one person in it.
type TrainedLine struct {
	Name, State string
	Wanting     bool   // may not start what is currently taught
	Changed     string // the procedure has changed since; empty if not
}

// TrainingPage shows the training of a family's people in one program.
type TrainingPage struct {
	T      *message.Printer
	Title  string
	Family Link
	Starts []StartLine
	People []TrainedPerson
}

// StartLine is a step that is being taught.
type StartLine struct {
	Learner, Step Link
	Who           string // people who may start it
	Wanting       string // people who may not; empty for no one
}

// TrainedPerson is one person of the family, with all training entries and the
// form for a new one.
type TrainedPerson struct {
	ID, Name, State string
	By, Note        string // of the newest entry; empty if there is none
	Changed         string
	Before          []TrainedBefore
	Form            *FormState // nil if the reader may not add one
}

// TrainedBefore is an older entry.
type TrainedBefore struct{ State, By, Note string }

func (p TrainedPerson) fields() (state, note Field) {
	state, note = p.Form.Needed("state", "training.state"), p.Form.Field("note", "training.note")
	state.ID, note.ID = "f-state-"+p.ID, "f-note-"+p.ID
	return state, note
}

// states fills in the options. None is selected at first, so that nothing is
// recorded by accident.
func (p TrainedPerson) states(f Field) Field {
	t := p.Form.T
	f.Options = []Option{{Value: "", Label: t.Text("training.choose")}}
	for _, s := range newel.TrainingStates {
		f.Options = append(f.Options, Option{Value: string(s), Label: t.Text("training.state_" + string(s))})
	}
	f.Options = append(f.Options, Option{Value: "none", Label: t.Text("training.take_back")})
	return f
}
