package revision

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"newel/internal/program"
)

// FieldConflict is a field that two people changed in different ways, as a
// Sheet shows it.
type FieldConflict struct{ Name, Mine, Theirs string }

// Typed is a draft together with what was typed into it.
type Typed struct {
	Document  program.Document // to be stored; fields in conflict keep what is stored now
	Mine      program.Sheet    // to be shown; fields in conflict have what was typed
	Place     string           // where something was changed; empty if nothing was
	Conflicts []FieldConflict
	Others    []string // fields that someone else has changed
}

// Take types into the draft as it is stored now.
func Take(now program.Document, typed program.Sheet) Typed {
	return together(now, typedInto(now, typed), nil)
}

// TakeUnknown types into a draft from a state that is no longer known. Every
// difference is a conflict.
func TakeUnknown(now program.Document, typed program.Sheet) Typed {
	mine := typedInto(now, typed)
	conflicts := differences(mine, now)
	out := together(now, mine, conflicts)
	out.Others = namesOf(conflicts)
	return out
}

// TakeSince types into the state in which the editor began, and merges the
// result with the draft as it is stored now. What only one of the two has
// changed is kept. A step that one of them removed comes back if the other
// wrote in it.
func TakeSince(began, now program.Document, typed program.Sheet) (Typed, error) {
	mine := typedInto(began, typed)
	mine.CarryFrom(&now) // what both have listed in the same words is one thing
	both, found, err := Merge(began, mine, now)
	if err != nil {
		return Typed{}, fmt.Errorf("merge draft: %w", err)
	}
	var conflicts []FieldConflict
	for _, c := range found {
		if !c.MineGone && !c.TheirsGone {
			conflicts = append(conflicts, FieldConflict{Name: c.Field, Mine: c.Mine, Theirs: c.Theirs})
		}
	}
	out := together(now, both, conflicts)
	out.Others = namesOf(differences(began, now))
	return out, nil
}

func namesOf(list []FieldConflict) []string {
	var out []string
	for _, c := range list {
		out = append(out, c.Name)
	}
	return out
}

// differences lists the fields in which two documents differ.
func differences(mine, theirs program.Document) []FieldConflict {
	a, b := mine.Sheet().Fields, theirs.Sheet().Fields
	var out []FieldConflict
	for _, name := range slices.Sorted(maps.Keys(a)) {
		if a[name] != b[name] {
			out = append(out, FieldConflict{Name: name, Mine: a[name], Theirs: b[name]})
		}
	}
	return out
}

// together returns what both have written. In the document to be stored, fields
// in conflict have what is stored now.
func together(now, both program.Document, conflicts []FieldConflict) Typed {
	m := Typed{Mine: both.Sheet(), Conflicts: conflicts, Document: both}
	if len(conflicts) > 0 {
		sheet := program.Sheet{Strands: m.Mine.Strands, Fields: maps.Clone(m.Mine.Fields)}
		for _, c := range conflicts {
			if _, is := sheet.Fields[c.Name]; is {
				sheet.Fields[c.Name] = c.Theirs
			}
		}
		m.Document = readSheet(both, m.Mine, sheet)
	}
	was, is := now.Sheet(), m.Document.Sheet()
	for _, name := range slices.Sorted(maps.Keys(is.Fields)) {
		if was.Fields[name] != is.Fields[name] {
			m.Place = placeOf(is, name)
			break
		}
	}
	if m.Place == "" && !reflect.DeepEqual(was.Strands, is.Strands) {
		m.Place = "steps"
	}
	return m
}

// typedInto returns the document with what was typed into some of its fields.
// Fields that the document does not have are ignored, unless the steps were
// typed too.
func typedInto(d program.Document, typed program.Sheet) program.Document {
	now := d.Sheet()
	sheet := program.Sheet{Strands: typed.Strands, Fields: maps.Clone(now.Fields)}
	if len(sheet.Strands) == 0 {
		sheet.Strands = now.Strands
	}
	for name, text := range typed.Fields {
		if was, has := now.Fields[name]; (has || len(typed.Strands) > 0) && program.Normalize(text) != was {
			sheet.Fields[name] = text
		}
	}
	return readSheet(d, now, sheet)
}

// stepOf returns the key of the step or strand that a field belongs to, or "".
func stepOf(name string) string {
	if parts := strings.SplitN(name, ".", 3); len(parts) == 3 {
		return parts[1]
	}
	return ""
}

// placeOf names the place of a field: the label of its step, or the program.
func placeOf(sheet program.Sheet, name string) string {
	if key := stepOf(name); key != "" {
		if label := sheet.Fields[program.StepField(key, "label")]; label != "" {
			return label
		}
		return key
	}
	return "program"
}

// readSheet turns a sheet into a document. What names steps by their labels is
// kept as it is unless someone has changed it, because the labels may have
// changed.
func readSheet(document program.Document, now, sheet program.Sheet) program.Document {
	d := sheet.Document()
	d.CarryFrom(&document)
	for i := range d.Strands {
		s := &d.Strands[i]
		field := program.StrandField(s.Key, "opens")
		if old := document.Strand(s.Key); old != nil && sheet.Fields[field] == now.Fields[field] && document.Unparsed[field] == "" {
			s.Opens = slices.Clone(old.Opens)
			delete(d.Unparsed, field)
		}
	}
	if sheet.Fields["difficulties"] == now.Fields["difficulties"] {
		d.Difficulties = document.Clone().Difficulties
	}
	return d
}

// SameSheet reports whether a form would show the same of both documents.
func SameSheet(a, b program.Document) bool { return reflect.DeepEqual(a.Sheet(), b.Sheet()) }
