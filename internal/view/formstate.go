package view

import (
	"net/url"
	"slices"

	"newel/internal/message"
)

// FormState is the state of a form: new, or returned with what was typed and
// the errors.
type FormState struct {
	T      *message.Printer
	Token  string // makes resubmitting harmless
	Action string
	Values url.Values
	Errors map[string]string // field → sentence
}

// Field returns a field with its texts from the catalogue: the label under key,
// and the hint, if any, under key.hint.
func (f FormState) Field(name, key string) Field {
	field := Field{
		Name: name, Label: f.T.Text(key), Value: f.Values.Get(name), Error: f.Errors[name], T: f.T,
		Checked: f.Values.Get(name) != "",
	}
	if f.T.Has(key + ".hint") {
		field.Hint = f.T.Text(key + ".hint")
	}
	return field
}

// Needed is Field for a required field.
func (f FormState) Needed(name, key string) Field {
	field := f.Field(name, key)
	field.Required = true
	return field
}

// problems lists the errors: those of fields in their order, then those without
// a field on the page.
func (f FormState) problems(fields []Field) []Problem {
	list := Problems(fields...)
	var rest []string
	for name := range f.Errors {
		if !slices.ContainsFunc(fields, func(field Field) bool { return field.Name == name }) {
			rest = append(rest, name)
		}
	}
	slices.Sort(rest)
	for _, name := range rest {
		list = append(list, Problem{Text: f.Errors[name], TargetID: "main"})
	}
	return list
}

// has reports whether value was sent under name.
func (f FormState) has(name, value string) bool { return slices.Contains(f.Values[name], value) }

func with(f Field, attrs ...string) Field {
	f.Attrs = map[string]any{}
	for i := 0; i+1 < len(attrs); i += 2 {
		f.Attrs[attrs[i]] = attrs[i+1]
	}
	return f
}
