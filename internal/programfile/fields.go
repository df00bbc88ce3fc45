package programfile

import (
	"encoding"
	"reflect"
	"slices"
	"strings"

	"newel/internal/program"
)

// formatName is the first field of every file; its value is the version of the
// format, that of program.Document.
const formatName = "newel_program"

// documentFormat is the document's field that stands in a file as formatName.
const documentFormat = "format"

// member is one field of a struct.
type member struct {
	name  string
	index int
}

// members lists the fields of a struct in the order in which they are written:
// that of the type, the strands of a program last, as the longest part.
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

// asText reports whether values of the type are written as one text, such as
// ids.
func asText(t reflect.Type) bool {
	return t.Kind() != reflect.String && t.Implements(marshals) && reflect.PointerTo(t).Implements(unmarshals)
}

// nearest finds the name that somebody may have meant: one that is at most a
// third of its letters away.
func nearest(typed string, t reflect.Type) string {
	best, least := "", len(typed)/3+1
	for _, m := range members(t) {
		if d := distance(strings.ToLower(typed), m.name); d <= least && (best == "" || d < least) {
			best, least = m.name, d
		}
	}
	return best
}

// distance counts the letters to put in, take out or change (Levenshtein).
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
