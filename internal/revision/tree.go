package revision

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"newel/internal/program"
)

// node is a document, or a part of one, split into the fields of an object or
// the items of a keyed list, or not split at all. New fields of documents are
// thus compared and merged automatically.
type node struct {
	leaf   string // JSON; empty if it is split
	fields map[string]node
	order  []string // keys of a list, in order; nil for an object
}

func (n node) whole() bool { return n.fields == nil }

// solid reports whether the node can only be treated as a whole. A missing node
// is like an empty list.
func (n node) solid() bool { return n.whole() && n.leaf != "" && n.leaf != "null" }

// equal reports whether two nodes have the same content in the same order.
func (n node) equal(m node) bool {
	return n.leaf == m.leaf && (n.fields == nil) == (m.fields == nil) && slices.Equal(n.order, m.order) &&
		maps.EqualFunc(n.fields, m.fields, node.equal)
}

// tree is a document with its steps separate from its strands, so that a step
// can move between them.
type tree struct {
	rest   node // all but the steps
	steps  map[string]node
	strand map[string]string   // of each step
	order  map[string][]string // of the steps of each strand
}

func newTree(d *program.Document) (tree, error) {
	t := tree{steps: map[string]node{}, strand: map[string]string{}, order: map[string][]string{}}
	bare := d.Clone()
	for i := range bare.Strands {
		s := &bare.Strands[i]
		for j := range s.Steps {
			key := s.Steps[j].Key
			n, err := parsed(&s.Steps[j])
			if err != nil {
				return tree{}, err
			}
			t.steps[key], t.strand[key] = n, s.Key
			t.order[s.Key] = append(t.order[s.Key], key)
		}
		s.Steps = nil
	}
	var err error
	t.rest, err = parsed(&bare)
	return t, err
}

func parsed(v any) (node, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return node{}, fmt.Errorf("splitting a document: %w", err)
	}
	return apart(b), nil
}

// apart splits JSON produced by Marshal. A missing list, an empty one and null
// are equal.
func apart(raw json.RawMessage) node {
	switch {
	case len(raw) == 0 || string(raw) == "null" || string(raw) == "[]":
		return node{leaf: "null"}
	case raw[0] == '{':
		var fields map[string]json.RawMessage
		if json.Unmarshal(raw, &fields) == nil {
			n := node{fields: map[string]node{}}
			for name, field := range fields {
				n.fields[name] = apart(field)
			}
			return n
		}
	case raw[0] == '[':
		if n, ok := keyed(raw); ok {
			return n
		}
	}
	return node{leaf: string(raw)}
}

// keyed splits a list if every element has a key.
func keyed(raw json.RawMessage) (node, bool) {
	var elements []json.RawMessage
	if json.Unmarshal(raw, &elements) != nil {
		return node{}, false
	}
	n := node{fields: map[string]node{}, order: []string{}}
	for _, e := range elements {
		var key struct {
			Key string `json:"key"`
		}
		if json.Unmarshal(e, &key) != nil || key.Key == "" || n.fields[key.Key].fields != nil {
			return node{}, false
		}
		n.fields[key.Key] = apart(e)
		n.order = append(n.order, key.Key)
	}
	return n, true
}

// json converts the node back to JSON.
func (n node) json() string {
	switch {
	case n.whole():
		return n.leaf
	case n.order != nil:
		parts := make([]string, len(n.order))
		for i, key := range n.order {
			parts[i] = n.fields[key].json()
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(n.fields)) {
		key, _ := json.Marshal(name)
		parts = append(parts, string(key)+":"+n.fields[name].json())
	}
	return "{" + strings.Join(parts, ",") + "}"
}

func (t tree) document() (program.Document, error) {
	var d program.Document
	if err := json.Unmarshal([]byte(t.rest.json()), &d); err != nil {
		return d, fmt.Errorf("assembling a document: %w", err)
	}
	for i := range d.Strands {
		s := &d.Strands[i]
		for _, key := range t.order[s.Key] {
			var step program.Step
			if err := json.Unmarshal([]byte(t.steps[key].json()), &step); err != nil {
				return d, fmt.Errorf("assembling a step: %w", err)
			}
			s.Steps = append(s.Steps, step)
		}
	}
	return d, nil
}

// owners maps the parts of a path that have keys to the owners of their fields.
var owners = map[string]program.Owner{"steps": program.OfStep, "strands": program.OfRole}

// field returns the Sheet's name for a path.
func field(path []string) string {
	of, keyed := owners[path[0]]
	switch {
	case path[0] == program.UnparsedName && len(path) > 1:
		return path[1]
	case !keyed:
		return fieldName(program.OfProgram, path)
	case len(path) == 1:
		return path[0]
	case len(path) == 2:
		return path[0] + "." + path[1]
	}
	return path[0] + "." + path[1] + "." + fieldName(of, path[2:])
}

// fieldName returns the name of the field at the path. A part without a field,
// such as a picture, keeps its name in the document.
func fieldName(of program.Owner, path []string) string {
	if f, is := program.FieldAt(of, path); is {
		return f.Name
	}
	return path[0]
}

// at returns the part of a document at a path.
func (t tree) at(path []string) (node, bool) {
	n := t.rest
	if path[0] == "steps" && len(path) > 1 {
		step, ok := t.steps[path[1]]
		if !ok {
			return node{}, false
		}
		n, path = step, path[2:]
	}
	for _, name := range path {
		next, ok := n.fields[name]
		if !ok {
			return node{}, false
		}
		n = next
	}
	return n, true
}
