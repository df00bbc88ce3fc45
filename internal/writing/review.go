package writing

import (
	"slices"
	"strings"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
)

// Advice is a finding about a program before it is published: where, what, and
// how it could be mended.
type Advice struct {
	program.Finding
	Step string // key of the step it is about; empty for the program
	Fix  *Fix   // nil if only a person can mend it
}

// Fix is a change of one field that mends a finding. ID names what it does; the
// catalogue has the words of its button under "fix." and the ID.
type Fix struct {
	ID    string
	Field string
	Value string
}

// Around is what a program is judged by beside its own text.
type Around struct {
	Program newel.ProgramID
	// Shelf is what the other programs need and teach. The program itself is put
	// on it. Without one, nothing is said of skills.
	Shelf *skill.Shelf
}

// reviewer collects advice.
type reviewer struct {
	d     *program.Document
	sheet program.Sheet
	out   []Advice
}

// Review says what stops the program from being published and what its author
// may want to look at, with a way to mend it where there is one. What stops
// comes first.
func Review(d *program.Document, around Around) []Advice {
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

// stepOf gives the key in the name of a step's field.
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

// look adds something that informs and stops nothing.
func (r *reviewer) look(fix *Fix, field, key string, args ...any) {
	r.add(program.WorthALook, fix, field, key, args...)
}

// Apply gives the document with the fix made.
func (f Fix) Apply(d *program.Document) program.Document {
	sheet := d.Sheet()
	sheet.Fields[f.Field] = f.Value
	out := sheet.Document()
	out.CarryFrom(d)
	return out
}

// english reports whether words can be looked for: they are English ones.
func (r *reviewer) english() bool {
	tag := strings.ToLower(strings.TrimSpace(r.d.Language))
	return tag == "" || tag == "en" || tag == "english" || strings.HasPrefix(tag, "en-")
}

// Said makes a fix with an English text, for programs in English.
func (r *reviewer) said(id, field, text string) *Fix {
	if !r.english() {
		return nil
	}
	if before := r.sheet.Fields[field]; before != "" {
		text = before + "\n" + text
	}
	return &Fix{ID: id, Field: field, Value: text}
}
