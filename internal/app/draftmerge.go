package app

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/revision"
)

// FieldConflict is a field that two people have changed, each in another way.
type FieldConflict struct{ Name, Mine, Theirs string }

// DraftConflict says that somebody else changed the same fields of the draft
// in between. Both states are kept: theirs is stored, Mine is handed back:
// what was typed, and for everything else what is stored.
type DraftConflict struct {
	Mine   program.Sheet
	Fields []FieldConflict
	Theirs DraftView
}

// Error says at which revision the draft is now.
func (e *DraftConflict) Error() string {
	return fmt.Sprintf("the draft is at revision %d", e.Theirs.Draft.Rev)
}

// Unwrap makes it a conflict.
func (e *DraftConflict) Unwrap() error { return newel.ErrConflict }

// merged is a draft together with what came from an editor.
type merged struct {
	document  program.Document // to be stored: in conflicts as it is stored now
	mine      program.Sheet    // to be shown: in conflicts as it was typed
	typed     string           // where something was changed; empty if nowhere
	conflicts []FieldConflict
	others    []string // fields that somebody else has changed
}

// mergeDraft puts what came from an editor into the draft. What only one of
// the two has changed since the editor began is taken over; a step that
// somebody has taken out meanwhile comes back if something was written in it.
func mergeDraft(ctx context.Context, tx *postgres.Tx, draft program.Draft, in DraftInput) (merged, error) {
	now := draft.Document
	if in.Rev == draft.Rev {
		mine := typedInto(now, in.Sheet)
		return mergedFrom(now, mine, nil), nil
	}
	state, err := tx.DraftState(ctx, draft.ProgramID, in.Rev)
	if errors.Is(err, newel.ErrNotFound) { // too long ago: every difference is asked about
		mine := typedInto(now, in.Sheet)
		asked := differences(mine, now)
		out := mergedFrom(now, mine, asked)
		out.others = namesOf(asked)
		return out, nil
	}
	if err != nil {
		return merged{}, err
	}
	mine := typedInto(state.Document, in.Sheet)
	mine.CarryFrom(&now) // what both have listed in the same words is one thing
	both, found, err := revision.Merge(state.Document, mine, now)
	if err != nil {
		return merged{}, fmt.Errorf("merge draft: %w", err)
	}
	var conflicts []FieldConflict
	for _, c := range found {
		if !c.MineGone && !c.TheirsGone {
			conflicts = append(conflicts, FieldConflict{Name: c.Field, Mine: c.Mine, Theirs: c.Theirs})
		}
	}
	out := mergedFrom(now, both, conflicts)
	out.others = namesOf(differences(state.Document, now))
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

// mergedFrom takes what both have made, in which conflicts stand as they were
// typed, and puts what is stored in their place for storing.
func mergedFrom(now, both program.Document, conflicts []FieldConflict) merged {
	m := merged{mine: both.Sheet(), conflicts: conflicts, document: both}
	if len(conflicts) > 0 {
		sheet := program.Sheet{Strands: m.mine.Strands, Fields: maps.Clone(m.mine.Fields)}
		for _, c := range conflicts {
			if _, is := sheet.Fields[c.Name]; is {
				sheet.Fields[c.Name] = c.Theirs
			}
		}
		m.document = read(both, m.mine, sheet)
	}
	was, is := now.Sheet(), m.document.Sheet()
	for _, name := range slices.Sorted(maps.Keys(is.Fields)) {
		if was.Fields[name] != is.Fields[name] {
			m.typed = placeOf(is, name)
			break
		}
	}
	if m.typed == "" && !reflect.DeepEqual(was.Strands, is.Strands) {
		m.typed = "steps"
	}
	return m
}

// typedInto gives the document with what was typed into some of its fields.
// Fields that it does not have are of somebody else's making.
func typedInto(d program.Document, typed program.Sheet) program.Document {
	now := d.Sheet()
	sheet := program.Sheet{Strands: typed.Strands, Fields: maps.Clone(now.Fields)}
	if len(sheet.Strands) == 0 {
		sheet.Strands = now.Strands
	}
	for name, text := range typed.Fields {
		if was, has := now.Fields[name]; (has || len(typed.Strands) > 0) && program.AsKept(text) != was {
			sheet.Fields[name] = text
		}
	}
	return read(d, now, sheet)
}

// stepOf gives the key of the step or strand that a field belongs to.
func stepOf(name string) string {
	if parts := strings.SplitN(name, ".", 3); len(parts) == 3 {
		return parts[1]
	}
	return ""
}

// placeOf says in words where a field is: the label of its step, or of the
// program itself.
func placeOf(sheet program.Sheet, name string) string {
	if key := stepOf(name); key != "" {
		if label := sheet.Fields[program.StepField(key, "label")]; label != "" {
			return label
		}
		return key
	}
	return "program"
}

// Read turns the sheet into a document. What names steps by their labels is
// taken over as it is where nobody has changed it: a label may have.
func read(document program.Document, now, sheet program.Sheet) program.Document {
	d := sheet.Document()
	d.CarryFrom(&document)
	for i := range d.Strands {
		s := &d.Strands[i]
		field := program.StrandField(s.Key, "opens")
		if old := document.Strand(s.Key); old != nil && sheet.Fields[field] == now.Fields[field] && document.Unread[field] == "" {
			s.Opens = slices.Clone(old.Opens)
			delete(d.Unread, field)
		}
	}
	if sheet.Fields["difficulties"] == now.Fields["difficulties"] {
		d.Difficulties = document.Clone().Difficulties
	}
	return d
}

func sameSheet(a, b program.Document) bool { return reflect.DeepEqual(a.Sheet(), b.Sheet()) }
