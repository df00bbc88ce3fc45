package writing

import (
	"maps"
	"slices"
	"strings"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
)

// Advice is a finding about a program before it is published: where, what, and
// how to fix it.
type Advice struct {
	program.Finding
	Step string // key of the step; empty for the program as a whole
	Fix  *Fix   // nil if only a person can fix it
	Or   *Fix   // another fix that would do; nil for none
	Luck *Luck  // what a finding about luck is based on; otherwise nil
}

// Fixes returns the fixes of a finding, the nearest first.
func (a Advice) Fixes() []*Fix {
	var out []*Fix
	for _, f := range []*Fix{a.Fix, a.Or} {
		if f != nil {
			out = append(out, f)
		}
	}
	return out
}

// Fix is a change of one field that resolves a finding. ID identifies it; the
// catalog has the text of its button under "fix." plus the ID.
type Fix struct {
	ID    string
	Field string
	Value string
	Also  map[string]string // other fields that must change with it, by name
	Args  []any             // of the text of the button
}

// Context is what a program is checked against besides its own text.
type Context struct {
	Program newel.ProgramID
	// Shelf holds the skills that the other programs need and teach; Review
	// adds the program itself. Without a shelf, skills are not checked.
	Shelf *skill.Shelf
}

// reviewer collects advice.
type reviewer struct {
	d     *program.Document
	sheet program.Sheet
	out   []Advice
}

// Review returns what blocks publishing the program and what its author may
// want to reconsider, with a fix if there is one. Blocking findings come first.
func Review(d *program.Document, around Context) []Advice {
	r := &reviewer{d: d, sheet: d.Sheet()}
	for _, f := range d.Check() {
		r.out = append(r.out, Advice{Finding: f, Step: stepOf(f.Field)})
	}
	r.skills(around)
	r.help()
	r.forgotten()
	r.cautions()
	r.pace()
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			r.criterion(&d.Strands[i].Steps[j])
		}
	}
	r.jargon()
	slices.SortStableFunc(r.out, func(a, b Advice) int { return int(a.Severity) - int(b.Severity) })
	return r.out
}

// stepOf returns the key in the name of a step's field.
func stepOf(field string) string {
	if rest, ok := strings.CutPrefix(field, "steps."); ok {
		key, _, _ := strings.Cut(rest, ".")
		return key
	}
	return ""
}

func (r *reviewer) add(severity program.Severity, fix *Fix, field, key string, args ...any) {
	var e newel.Invalid
	e.Add(field, key, args...)
	r.out = append(r.out, Advice{Finding: program.Finding{Problem: e.Problems[0], Severity: severity}, Step: stepOf(field), Fix: fix})
}

// look adds a finding that does not block publishing.
func (r *reviewer) look(fix *Fix, field, key string, args ...any) {
	r.add(program.Suggestion, fix, field, key, args...)
}

// FindFix returns the fix with that ID and field, or nil.
func FindFix(list []Advice, id, field string) *Fix {
	for _, a := range list {
		for _, f := range a.Fixes() {
			if f.ID == id && f.Field == field {
				return f
			}
		}
	}
	return nil
}

// Apply returns the document with the fix applied.
func (f Fix) Apply(d *program.Document) program.Document {
	sheet := d.Sheet()
	sheet.Fields[f.Field] = f.Value
	maps.Copy(sheet.Fields, f.Also)
	out := sheet.Document()
	out.CarryFrom(d)
	return out
}

// english reports whether the program is in English, so that its words can be
// checked.
func (r *reviewer) english() bool {
	tag := strings.ToLower(strings.TrimSpace(r.d.Language))
	return tag == "" || tag == "en" || tag == "english" || strings.HasPrefix(tag, "en-")
}

// said returns a fix with an English text, for programs in English.
func (r *reviewer) said(id, field, text string) *Fix {
	if !r.english() {
		return nil
	}
	if before := r.sheet.Fields[field]; before != "" {
		text = before + "\n" + text
	}
	return &Fix{ID: id, Field: field, Value: text}
}
