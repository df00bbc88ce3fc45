package view

import (
	"github.com/a-h/templ"

	"newel/internal/message"
	"newel/internal/newel"
)

// LearnerPage shows what everyone who teaches a learner must know, and what is
// being taught.
type LearnerPage struct {
	T        *message.Printer
	Name     string
	Family   Link
	Born     string
	ID       newel.LearnerID
	Missing  []MissingLine
	Care     CareText
	Asked    bool
	Consents []ConsentLine

	MayCare, MayConsent bool
	ToNote              int // number of skills that can be recorded because a step was met
	// Programs is the part about programs; nil omits it.
	Programs templ.Component
	Reviews  ReviewsPart
}

// MissingLine is something that is missing before programs can be assigned,
// with a link to add it (empty if this person may not).
type MissingLine struct{ Text, Do, Href string }

// CareText is a learner's care notes in words.
type CareText struct {
	Allergy, Choking, Seizure, Mouthing string
	StopSigns                           string
	Touch                               string
	HelpNotes                           string
}

// CareWords returns care notes in words; questions answered with nothing read
// "none known".
func CareWords(t *message.Printer, c newel.Care) CareText {
	known := func(answer string) string {
		switch {
		case answer != "":
			return answer
		case c.Alerts.Asked:
			return t.Text("care.none_known")
		}
		return t.Text("care.not_asked_yet")
	}
	touch := t.Text("care.touch_off")
	if c.TouchAllowed {
		touch = t.Text("care.touch_on")
	}
	signs := c.StopSigns
	if signs == "" {
		signs = t.Text("care.no_signs")
	}
	return CareText{
		Allergy: known(c.Alerts.Allergy), Choking: known(c.Alerts.Choking), Seizure: known(c.Alerts.Seizure),
		Mouthing: known(c.Alerts.Mouthing), StopSigns: signs, Touch: touch, HelpNotes: c.HelpNotes,
	}
}

type careLine struct{ key, text string }

func (c CareText) alerts() []careLine {
	return []careLine{{"care.allergy", c.Allergy}, {"care.choking", c.Choking}, {"care.seizure", c.Seizure}, {"care.mouthing", c.Mouthing}}
}

// CarePage is the form for a learner's care notes. Theirs is what someone else
// has saved in the meantime, or nil.
type CarePage struct {
	Form   FormState
	Name   string
	Back   Link
	Theirs *CareText
}

func (p CarePage) fields() []Field {
	keys := []struct{ name, key string }{
		{"allergy", "care.allergy"},
		{"choking", "care.choking"},
		{"seizure", "care.seizure"},
		{"mouthing", "care.mouthing"},
	}
	fields := make([]Field, 0, len(keys))
	for _, k := range keys {
		fields = append(fields, p.Form.Field(k.name, k.key))
	}
	return fields
}

func (p CarePage) all() []Field {
	f := p.Form
	return append(p.fields(), f.Needed("asked", "care.asked"), f.Needed("stop_signs", "care.stop_signs"), f.Field("touch_allowed", "care.touch"), f.Field("help_notes", "care.help_notes"))
}

// ConsentPage lists the consents for a learner.
type ConsentPage struct {
	Form     FormState
	Name     string
	Back     Link
	Consents []ConsentLine
	Open     bool // some kind of consent has not been given yet
}

// ConsentLine is one consent. Withdraw is the form that ends it; nil if it is
// withdrawn or may not be.
type ConsentLine struct {
	Kind, Given, Withdrawn string
	Withdraw               *FormState
	ID                     string
}

func (p ConsentPage) kinds() Field {
	f := p.Form.Needed("kind", "consent.kind_field")
	for _, k := range newel.ConsentKinds {
		f.Options = append(f.Options, Option{Value: string(k), Label: p.Form.T.Text("consent." + string(k)), Hint: p.Form.T.Text("consent.what_" + string(k))})
	}
	return f
}

func (p ConsentPage) fields() []Field {
	return []Field{p.kinds(), p.Form.Needed("given_on", "consent.given_on"), p.Form.Needed("given_by", "consent.given_by")}
}

func (l ConsentLine) on() Field {
	f := l.Withdraw.Needed("withdrawn_on", "consent.withdrawn_on")
	f.ID = "f-withdrawn-" + l.ID
	return f
}
