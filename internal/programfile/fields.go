package programfile

import (
	"encoding"
	"reflect"
	"slices"
	"strings"

	"newel/internal/program"
)

// formatName is the first field of every file; its value is the format version
// of program.Document.
const formatName = "newel_program"

// documentFormat is the document's field that files call formatName.
const documentFormat = "format"

// member is one field of a struct.
type member struct {
	name  string
	index int
}

// members returns the fields of a struct in output order: that of the type,
// except that a program's strands, the longest part, come last.
func members(t reflect.Type) []member {
	var out []member
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name == "" || name == "-" || t == reflect.TypeFor[program.Document]() && name == documentFormat {
			continue
		}
		out = append(out, member{name, i})
	}
	last := func(m member) int {
		if t == reflect.TypeFor[program.Document]() && m.name == "strands" {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(out, func(a, b member) int { return last(a) - last(b) })
	return out
}

func memberNamed(t reflect.Type, name string) (member, bool) {
	for _, m := range members(t) {
		if m.name == name {
			return m, true
		}
	}
	return member{}, false
}

var (
	marshals   = reflect.TypeFor[encoding.TextMarshaler]()
	unmarshals = reflect.TypeFor[encoding.TextUnmarshaler]()
)

// asText reports whether values of the type are written as a single text, such
// as ids.
func asText(t reflect.Type) bool {
	return t.Kind() != reflect.String && t.Implements(marshals) && reflect.PointerTo(t).Implements(unmarshals)
}

// nearest returns the name that a person may have meant: one that differs in at
// most a third of its letters.
func nearest(typed string, t reflect.Type) string {
	best, least := "", len(typed)/3+1
	for _, m := range members(t) {
		if d := distance(strings.ToLower(typed), m.name); d <= least && (best == "" || d < least) {
			best, least = m.name, d
		}
	}
	return best
}

// distance returns the number of letters to insert, delete or change
// (Levenshtein).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 40 {
		return len(x)
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		before := row[0]
		row[0] = i + 1
		for j := range y {
			change := before
			if x[i] != y[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
