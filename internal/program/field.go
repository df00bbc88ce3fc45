package program

import (
	"slices"
	"strings"
)

// Owner is what a field belongs to. Its value begins the catalogue keys of the
// field's label and hint.
type Owner string

// The owners of fields.
const (
	OfProgram Owner = "draftfield"
	OfRole    Owner = "rolefield"
	OfStep    Owner = "stepfield"
)

// Owners lists every owner.
var Owners = []Owner{OfProgram, OfRole, OfStep}

// Kind is what is written into a field. It decides how the editor asks for the
// field and how the program's page shows it.
type Kind int

// The kinds of fields.
const (
	Line    Kind = iota // one line of text
	Text                // text of several lines
	List                // one item per line
	Whole               // a whole number
	Seconds             // seconds, perhaps with decimals
	Percent             // percent, perhaps with decimals
	Choice              // one of a few values
	Tick                // yes or no
	Worded              // the same words in other languages, one per line
	Rule                // a condition in the words of package criterion
)

// Section is a part of the program's page, or of a step on it.
type Section string

// The sections in which the page lists fields by label and value.
const (
	Facts    Section = "facts"    // under the title
	How      Section = "how"      // what every trial of every step shares
	After    Section = "after"    // what follows once a step is met
	Learned  Section = "learned"  // what the learner does on the step
	Trial    Section = "trial"    // how one trial goes
	Session  Section = "session"  // what a session takes
	Targets  Section = "targets"  // what is taught, and in which order
	MovingOn Section = "movingon" // when the step ends
)

// Placed is where the program's page shows a field: its section, and the order
// within it. Fields of equal order keep the order of the table. Without a
// section, the page has a layout of its own for the field.
type Placed struct {
	Section Section
	Order   int
}

// Field describes one thing that people write into a program. The tables of
// fields are what the editor, the comparison of versions and the program's
// page go through; see programFields, roleFields and stepFields.
type Field struct {
	Owner Owner
	Name  string // of its owner: names the field in a Sheet and in the catalogue
	Path  string // in the owner's JSON, with dots
	Kind  Kind

	Group    string // the form's group that asks for it; empty: the form has a place of its own for it
	Short    bool   // a few characters: a narrow field
	Required bool   // the form marks it as required
	Shown    Placed // on the program's page

	// Teaching: the learner is taught differently once this changes, so that
	// graphs need a phase line. Names, pictures and plans for adults are not
	// among them.
	Teaching bool

	Choices   []string // the values of a Choice, where they are always the same
	ChoiceKey string   // begins the catalogue keys of the values
	NoChoice  string   // catalogue key of the empty value; empty: there is none
	UnitKey   string   // catalogue key of the number with its unit; empty: the number alone

	// UnparsedKey is the key of the sentence about text in this field that is not
	// of its kind.
	UnparsedKey string
}

// LabelKey is the catalogue key of the field's label.
func (f Field) LabelKey() string { return string(f.Owner) + "." + f.Name }

// HintKey is the catalogue key of the field's hint. Few fields have one.
func (f Field) HintKey() string { return f.LabelKey() + ".hint" }

// SheetName names the field in a Sheet; key is that of the step or strand.
func (f Field) SheetName(key string) string {
	switch f.Owner {
	case OfStep:
		return StepField(key, f.Name)
	case OfRole:
		return StrandField(key, f.Name)
	}
	return f.Name
}

// Fields lists the fields of an owner, in the order of the form.
func Fields(of Owner) []Field {
	switch of {
	case OfProgram:
		return described(of, programFields)
	case OfRole:
		return described(of, roleFields)
	case OfStep:
		return described(of, stepFields)
	}
	return nil
}

func described[T any](of Owner, rows []row[T]) []Field {
	out := make([]Field, len(rows))
	for i, r := range rows {
		out[i] = r.describe(of)
	}
	return out
}

var allFields = map[Owner][]Field{OfProgram: Fields(OfProgram), OfRole: Fields(OfRole), OfStep: Fields(OfStep)}

// FieldsIn lists the fields that a section of the program's page shows, in its
// order.
func FieldsIn(of Owner, section Section) []Field {
	var out []Field
	for _, f := range allFields[of] {
		if f.Shown.Section == section {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b Field) int { return a.Shown.Order - b.Shown.Order })
	return out
}

// FieldNamed finds the field that a name in a Sheet means.
func FieldNamed(name string) (Field, bool) {
	of, short := OfProgram, name
	switch parts := strings.SplitN(name, ".", 3); {
	case len(parts) == 3 && parts[0] == "steps":
		of, short = OfStep, parts[2]
	case len(parts) == 3 && parts[0] == "strands":
		of, short = OfRole, parts[2]
	}
	for _, f := range allFields[of] {
		if f.Name == short {
			return f, true
		}
	}
	return Field{}, false
}

// FieldAt finds the field that holds what a path in the owner's JSON leads to.
func FieldAt(of Owner, path []string) (Field, bool) {
	for n := len(path); n > 0; n-- {
		for _, f := range allFields[of] {
			if f.Path == strings.Join(path[:n], ".") {
				return f, true
			}
		}
	}
	return Field{}, false
}

// FieldText writes a field of the program as a Sheet does.
func (d *Document) FieldText(name string) string { return written(programFields, name, d, d) }

// StepText writes a field of the step as a Sheet does. The step may have one
// learner's changes, so that it is not the document's.
func (d *Document) StepText(s *Step, name string) string { return written(stepFields, name, d, s) }

func written[T any](rows []row[T], name string, d *Document, v *T) string {
	for _, r := range rows {
		if r.Name == name {
			return r.write(d, v)
		}
	}
	return ""
}
