package revision

import (
	"maps"
	"slices"

	"newel/internal/criterion"
	"newel/internal/program"
)

// Kind is what happened to a step.
type Kind int

// The kinds. A step that was both moved and changed is Moved and has the
// changed fields.
const (
	Added Kind = iota
	Removed
	Moved
	Changed
)

// Field is a text that changed, as shown in a Sheet.
type Field struct {
	Name          string // field name of a Sheet
	Before, After string
}

// Words compares the two texts word by word.
func (f Field) Words() []Piece { return Words(f.Before, f.After) }

// Step is a step that differs.
type Step struct {
	Kind   Kind
	Key    string
	Strand string // where it is, or was if it was removed
	Title  string // role and label, in the newer version that has it
	Fields []Field
	// Criterion: the requirement to meet the step changed, not only its
	// wording.
	Criterion bool
	// Procedure: the step is taught differently. Graphs need a phase line, as
	// for a changed criterion.
	Procedure bool
}

// Comparison is the difference between two versions.
type Comparison struct {
	Fields []Field // of the program and its roles
	Steps  []Step  // in the order of the newer version, removed ones last
	// Procedure: every step is taught differently.
	Procedure bool
}

// PhaseLine reports whether the graph of a placement on the step needs a phase
// line between the two versions.
func (c Comparison) PhaseLine(step string) bool {
	return c.Procedure || slices.ContainsFunc(c.Steps, func(s Step) bool {
		return s.Key == step && (s.Criterion || s.Procedure)
	})
}

// teaches reports whether the field affects how the learner is taught.
func (f Field) teaches() bool {
	field, known := program.FieldNamed(f.Name)
	return known && field.Teaching
}

// Compare returns what changed from one document to another.
func Compare(before, after program.Document) (Comparison, error) {
	c := comparer{docs: [2]*program.Document{&before, &after}}
	for i, d := range c.docs {
		t, err := newTree(d)
		if err != nil {
			return Comparison{}, err
		}
		c.trees[i], c.sheets[i] = t, d.Sheet()
	}
	var out Comparison
	c.paths(nil, c.trees[0].rest, c.trees[1].rest, &out.Fields)
	for _, f := range out.Fields {
		out.Procedure = out.Procedure || f.teaches()
	}
	moved := c.moved()
	for _, strand := range after.Strands {
		for i := range strand.Steps {
			if s, changed := c.step(&strand.Steps[i], strand.Key, moved); changed {
				out.Steps = append(out.Steps, s)
			}
		}
	}
	for _, strand := range before.Strands {
		for _, s := range strand.Steps {
			if _, still := c.trees[1].steps[s.Key]; !still {
				out.Steps = append(out.Steps, Step{Kind: Removed, Key: s.Key, Strand: strand.Key, Title: before.StepTitle(s.Key)})
			}
		}
	}
	return out, nil
}

type comparer struct {
	docs   [2]*program.Document
	trees  [2]tree
	sheets [2]program.Sheet
}

// paths appends the fields in which two nodes differ.
func (c *comparer) paths(path []string, a, b node, out *[]Field) {
	if a.equal(b) {
		return
	}
	if len(path) > 0 && !apartFrom(a, b) && !apartFrom(b, a) && (a.whole() || b.whole() || !slices.Equal(a.order, b.order)) {
		name := field(path)
		if !slices.ContainsFunc(*out, func(f Field) bool { return f.Name == name }) {
			*out = append(*out, Field{name, text(c.docs[0], c.trees[0], c.sheets[0], path), text(c.docs[1], c.trees[1], c.sheets[1], path)})
		}
		return
	}
	names := map[string]node{}
	maps.Copy(names, a.fields)
	maps.Copy(names, b.fields)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		c.paths(below(path, name), a.fields[name], b.fields[name], out)
	}
}

// apartFrom reports whether a is absent and b is an object. The fields of b are
// then compared one by one.
func apartFrom(a, b node) bool { return a.whole() && !a.solid() && !b.whole() && b.order == nil }

func (c *comparer) step(s *program.Step, strand string, moved map[string]bool) (Step, bool) {
	out := Step{Kind: Changed, Key: s.Key, Strand: strand, Title: c.docs[1].StepTitle(s.Key)}
	old, had := c.trees[0].steps[s.Key]
	if !had {
		out.Kind = Added
		return out, true
	}
	c.paths([]string{"steps", s.Key}, old, c.trees[1].steps[s.Key], &out.Fields)
	for _, f := range out.Fields {
		out.Procedure = out.Procedure || f.teaches()
	}
	out.Criterion = c.asks(0, s.Key) != c.asks(1, s.Key)
	if moved[s.Key] {
		out.Kind = Moved
	}
	return out, moved[s.Key] || len(out.Fields) > 0
}

// asks returns the step's criterion in canonical words, or as typed if it is
// invalid.
func (c *comparer) asks(i int, key string) string {
	_, s := c.docs[i].Step(key)
	if s == nil {
		return ""
	}
	parsed, err := criterion.Parse(s.Criterion, c.docs[i].Vocabulary(s))
	if err != nil {
		return s.Criterion
	}
	return parsed.String()
}

// moved returns the steps whose position changed: those now in a different
// strand, or outside the longest run of steps that kept their order.
func (c *comparer) moved() map[string]bool {
	out := map[string]bool{}
	for strand, now := range c.trees[1].order {
		common := func(list []string) []string {
			return slices.DeleteFunc(slices.Clone(list), func(key string) bool {
				return c.trees[0].strand[key] != strand || c.trees[1].strand[key] != strand
			})
		}
		for _, key := range now {
			was, had := c.trees[0].strand[key]
			out[key] = had && was != strand
		}
		a, b := common(c.trees[0].order[strand]), common(now)
		table := lengths(a, b)
		for i, j := 0, 0; j < len(b); {
			switch {
			case i < len(a) && a[i] == b[j]:
				i, j = i+1, j+1
			case i < len(a) && table[i+1][j] >= table[i][j+1]:
				i++
			default:
				out[b[j]] = true
				j++
			}
		}
	}
	return out
}
