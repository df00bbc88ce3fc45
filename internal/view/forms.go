package view

import (
	"github.com/a-h/templ"

	"newel/internal/message"
)

// Field is one field of a form: its label, what was typed, and what is wrong
// with it.
type Field struct {
	Name     string
	ID       string // empty for "f-" plus the name
	Label    string
	Hint     string
	Value    string // as typed, even if invalid; passwords are never filled in again
	Error    string // what is wrong and what to do; empty for no error
	Required bool   // other fields are marked as optional
	Plain    bool   // in forms with mostly optional fields: do not mark it as optional
	Short    bool   // for a few characters only
	Options  []Option
	Checked  bool             // check boxes
	Attrs    templ.Attributes // autocomplete, inputmode, maxlength, min, max and the like
	T        *message.Printer // of the marker for optional fields
}

// Option is one choice of a select or a radio set.
type Option struct{ Value, Label, Hint string }

func (f Field) id() string {
	if f.ID != "" {
		return f.ID
	}
	return "f-" + f.Name
}

func (f Field) optional() string { return f.T.Text("layout.optional") }

// describedBy lists what a screen reader reads after the label: the error
// first, because it needs to be fixed.
func (f Field) describedBy() string {
	switch {
	case f.Error != "" && f.Hint != "":
		return f.id() + "-error " + f.id() + "-hint"
	case f.Error != "":
		return f.id() + "-error"
	case f.Hint != "":
		return f.id() + "-hint"
	}
	return ""
}

// attrs returns the attributes that every kind of control has.
func (f Field) attrs() templ.Attributes {
	a := templ.Attributes{"id": f.id(), "name": f.Name}
	if by := f.describedBy(); by != "" {
		a["aria-describedby"] = by
	}
	if f.Error != "" {
		a["aria-invalid"] = "true"
	}
	if f.Required {
		// Not the attribute "required": the browser's own messages would
		// replace ours.
		a["aria-required"] = "true"
	}
	if f.Short {
		a["class"] = "short"
	}
	for key, value := range f.Attrs {
		a[key] = value
	}
	return a
}

// checkAttrs omits attributes that do not belong on a single box.
func (f Field) checkAttrs() templ.Attributes {
	a := f.attrs()
	delete(a, "class")
	return a
}

func (f Field) optionID(value string) string { return f.id() + "-" + value }

func (f Field) short() Field {
	f.Short = true
	return f
}

// Problem is one line of the problem list above a form.
type Problem struct{ Text, TargetID string }

// Problems lists the errors of a form's fields, in order.
func Problems(fields ...Field) []Problem {
	var out []Problem
	for _, f := range fields {
		if f.Error != "" {
			out = append(out, Problem{f.Label + ": " + f.Error, f.id()})
		}
	}
	return out
}

// FormTokenName is the name of the hidden field that makes resubmitting a form
// harmless.
const FormTokenName = "form_token"
