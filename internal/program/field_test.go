package program_test

import (
	"reflect"
	"strings"
	"testing"

	"newel/internal/newel"
	"newel/internal/program"
)

// noField are parts of a document that nobody writes as a field of a form, each
// with the reason.
var noField = map[program.Owner]map[string]string{
	program.OfProgram: {
		"format":             "the number of the document's own format",
		"strands":            "have fields of their own",
		program.UnparsedName: "text that fields could not parse",
	},
	program.OfRole: {"key": "never changes", "steps": "have fields of their own"},
	program.OfStep: {"key": "never changes", "picture": "is uploaded"},
}

// parts lists what a struct's JSON has, down to what is no plain struct.
func parts(t reflect.Type) []string {
	var out []string
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Type.Kind() != reflect.Struct {
			out = append(out, name)
			continue
		}
		for _, below := range parts(f.Type) {
			out = append(out, name+"."+below)
		}
	}
	return out
}

// Whatever a document can hold is in the table of fields.
func TestEveryPartOfADocumentIsAField(t *testing.T) {
	t.Parallel()
	for of, typ := range map[program.Owner]reflect.Type{
		program.OfProgram: reflect.TypeFor[program.Document](), program.OfRole: reflect.TypeFor[program.Strand](), program.OfStep: reflect.TypeFor[program.Step](),
	} {
		held := map[string]string{}
		for _, part := range parts(typ) {
			f, is := program.FieldAt(of, strings.Split(part, "."))
			if is == (noField[of][part] != "") {
				t.Errorf("%s of %s: a field: %v, exempt: %q", part, typ, is, noField[of][part])
			}
			held[f.Path] = part
		}
		for _, f := range program.Fields(of) {
			if held[f.Path] == "" {
				t.Errorf("%s of %s: the document has no %q", f.Name, of, f.Path)
			}
		}
	}
}

// A field is found by its name in a sheet, and text that is not of its kind has
// a sentence.
func TestFieldsAreFoundByName(t *testing.T) {
	t.Parallel()
	for _, of := range program.Owners {
		for _, f := range program.Fields(of) {
			found, known := program.FieldNamed(f.SheetName("key1"))
			if !known || found.LabelKey() != f.LabelKey() {
				t.Errorf("%s of %s: found %q", f.Name, of, found.LabelKey())
			}
			typed := program.Sheet{
				Strands: []program.SheetStrand{{Key: "key1", Steps: []string{"key1"}}},
				Fields:  map[string]string{f.SheetName("key1"): "\x01?"},
			}
			if d := typed.Document(); len(d.Unparsed) > 0 && f.UnparsedKey == "" {
				t.Errorf("%s of %s: no sentence about what cannot be read", f.Name, of)
			}
		}
	}
	if _, known := program.FieldNamed("steps.key1.elsewhere"); known {
		t.Error("a field that no table has was found")
	}
}

// Each field that is too long stops publishing under its own name.
func TestEveryTextHasALimit(t *testing.T) {
	t.Parallel()
	for _, of := range program.Owners {
		for _, f := range program.Fields(of) {
			if f.Kind != program.Line && f.Kind != program.Text || f.UnparsedKey != "" || f.Name == "rules_off" {
				continue
			}
			name := f.SheetName("key1")
			d := program.Sheet{
				Strands: []program.SheetStrand{{Key: "key1", Steps: []string{"key2"}}, {Key: "key2", Steps: []string{"key1"}}},
				Fields:  map[string]string{name: strings.Repeat("x", newel.MaxNote+1)},
			}.Document()
			var found bool
			for _, p := range d.Check() {
				found = found || p.Field == name && p.Key == "field.too_long"
			}
			if !found {
				t.Errorf("%s: %d characters are accepted", name, newel.MaxNote+1)
			}
		}
	}
}
