package view

import (
	"newel/internal/message"
	"newel/internal/newel"
)

// TrainingPart lists programs with how far each of the family is, on its page.
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
	Wanting     bool   // may not start what is taught now
	Changed     string // the way of teaching has changed since; empty: no
}

// TrainingPage is how far the people of a family are with one program.
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
	Who           string // may start it
	Wanting       string // who may not; empty: nobody
}

// TrainedPerson is one of the family, with everything noted and the form that
// notes more.
type TrainedPerson struct {
	ID, Name, State string
	By, Note        string // of the newest entry; empty: there is none
	Changed         string
	Before          []TrainedBefore
	Form            *FormState // nil: the reader may not
}

// TrainedBefore is an older entry.
type TrainedBefore struct{ State, By, Note string }

func (p TrainedPerson) fields() (state, note Field) {
	state, note = p.Form.Needed("state", "training.state"), p.Form.Field("note", "training.note")
	state.ID, note.ID = "f-state-"+p.ID, "f-note-"+p.ID
	return state, note
}

// states are what can be noted. None is chosen at first, so that nothing is
// noted by a slip.
func (p TrainedPerson) states(f Field) Field {
	t := p.Form.T
	f.Options = []Option{{Value: "", Label: t.Text("training.choose")}}
	for _, s := range newel.TrainingStates {
		f.Options = append(f.Options, Option{Value: string(s), Label: t.Text("training.state_" + string(s))})
	}
	f.Options = append(f.Options, Option{Value: "none", Label: t.Text("training.take_back")})
	return f
}
