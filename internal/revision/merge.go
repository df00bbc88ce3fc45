package revision

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"newel/internal/program"
)

// Conflict is a field that both changed differently. The merged document has
// mine; both texts are here, as shown in a Sheet.
type Conflict struct {
	Field              string // as in a Sheet; "steps.<key>" for a whole step, "strands.<key>" for a role
	Base, Mine, Theirs string
	// Removed by one and changed by the other; the merged document keeps it.
	MineGone, TheirsGone bool
}

// Merge combines what two people made of the same document. It takes over what
// only one of them changed; identical changes are not a conflict. Nothing that
// either of them wrote is lost.
func Merge(base, mine, theirs program.Document) (program.Document, []Conflict, error) {
	m := merger{states: [3]*program.Document{&base, &mine, &theirs}}
	for i, d := range m.states {
		t, err := newTree(d)
		if err != nil {
			return program.Document{}, nil, err
		}
		m.trees[i] = t
	}
	out := tree{}
	out.rest = m.object(nil, m.trees[0].rest, m.trees[1].rest, m.trees[2].rest)
	out.steps, out.strand = m.steps()
	m.revive(&out)
	out.order = m.stepOrder(out)
	d, err := out.document()
	slices.SortFunc(m.conflicts, func(a, b Conflict) int { return strings.Compare(a.Field, b.Field) })
	return d, m.conflicts, err
}

type merger struct {
	states    [3]*program.Document // base, mine, theirs
	trees     [3]tree
	sheets    [3]program.Sheet
	conflicts []Conflict
}

func (m *merger) conflict(path []string, mineGone, theirsGone bool) {
	name := field(path)
	if slices.ContainsFunc(m.conflicts, func(c Conflict) bool { return c.Field == name }) {
		return
	}
	var texts [3]string
	for i := range texts {
		if m.sheets[i].Fields == nil {
			m.sheets[i] = m.states[i].Sheet()
		}
		texts[i] = text(m.states[i], m.trees[i], m.sheets[i], path)
	}
	m.conflicts = append(m.conflicts, Conflict{name, texts[0], texts[1], texts[2], mineGone, theirsGone})
}

// text returns a field as displayed: as in a Sheet if it has the field. Steps
// and roles are displayed by name.
func text(d *program.Document, t tree, s program.Sheet, path []string) string {
	if len(path) == 2 && path[0] == "steps" {
		return d.StepTitle(path[1])
	}
	if len(path) == 2 && path[0] == "strands" {
		if strand := d.Strand(path[1]); strand != nil {
			return strand.Role.Name
		}
		return ""
	}
	if shown, ok := s.Fields[field(path)]; ok {
		return shown
	}
	n, ok := t.at(path)
	if !ok || n.leaf == "null" {
		return ""
	}
	var plain string
	if json.Unmarshal([]byte(n.leaf), &plain) == nil {
		return plain
	}
	return n.json()
}

func below(path []string, name string) []string { return append(slices.Clone(path), name) }

func (m *merger) node(path []string, base, mine, theirs node) node {
	switch {
	case mine.equal(theirs), theirs.equal(base):
		return mine
	case mine.equal(base):
		return theirs
	case base.solid(), mine.solid(), theirs.solid(), mine.whole() && theirs.whole():
		m.conflict(path, false, false)
		return mine
	}
	return m.object(path, base, mine, theirs)
}

// object merges field by field, or item by item if items have keys.
func (m *merger) object(path []string, base, mine, theirs node) node {
	out := node{fields: map[string]node{}}
	names := map[string]bool{}
	for _, n := range []node{base, mine, theirs} {
		for name := range n.fields {
			names[name] = true
		}
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if n, ok := m.member(below(path, name), name, base, mine, theirs); ok {
			out.fields[name] = n
		}
	}
	if mine.order != nil || theirs.order != nil {
		order, both := mergeOrder(base.order, mine.order, theirs.order, func(key string) bool { _, ok := out.fields[key]; return ok })
		if both {
			m.conflict(path, false, false)
		}
		out.order = order
	}
	return out
}

// member merges one field or item, which may be missing in some of the three.
func (m *merger) member(path []string, name string, base, mine, theirs node) (node, bool) {
	b, inBase := base.fields[name]
	a, inMine := mine.fields[name]
	c, inTheirs := theirs.fields[name]
	if inMine != inTheirs && inBase || inMine && inTheirs && !a.equal(c) {
		if n, ok := m.inLines(path, b, a, c); ok {
			return n, true
		}
	}
	switch {
	case inMine && inTheirs:
		return m.node(path, b, a, c), true
	case !inMine && !inTheirs:
		return node{}, false
	case inMine && !inBase:
		return a, true
	case inTheirs && !inBase:
		return c, true
	case inMine: // they removed it
		if a.equal(b) {
			return node{}, false
		}
		m.conflict(path, false, true)
		return a, true
	}
	if c.equal(b) {
		return node{}, false
	}
	m.conflict(path, true, false)
	return c, true
}

// steps merges the steps and each one's strand, as if the strand were a field
// of the step.
func (m *merger) steps() (map[string]node, map[string]string) {
	var all [3]node
	const strand = "\x00strand"
	for i, t := range m.trees {
		all[i].fields = map[string]node{}
		for key, n := range t.steps {
			with := node{fields: maps.Clone(n.fields)}
			with.fields[strand] = node{leaf: t.strand[key]}
			all[i].fields[key] = with
		}
	}
	merged := m.object([]string{"steps"}, all[0], all[1], all[2])
	strands := map[string]string{}
	for key, n := range merged.fields {
		strands[key] = n.fields[strand].leaf
		delete(n.fields, strand)
	}
	for i := range m.conflicts {
		if key, moved := strings.CutSuffix(m.conflicts[i].Field, "."+strand); moved {
			key = strings.TrimPrefix(key, "steps.")
			m.conflicts[i] = Conflict{Field: "steps." + key, Base: m.trees[0].strand[key], Mine: m.trees[1].strand[key], Theirs: m.trees[2].strand[key]}
		}
	}
	return merged.fields, strands
}

// revive restores a strand that one person removed while the other was editing
// a step in it.
func (m *merger) revive(out *tree) {
	strands := out.rest.fields["strands"]
	for _, key := range slices.Sorted(maps.Keys(out.strand)) {
		strand := out.strand[key]
		if _, there := strands.fields[strand]; there {
			continue
		}
		for _, i := range []int{1, 2, 0} {
			if n, had := m.trees[i].at([]string{"strands", strand}); had {
				strands.fields, strands.order = maps.Clone(strands.fields), append(slices.Clone(strands.order), strand)
				if strands.fields == nil {
					strands.fields = map[string]node{}
				}
				strands.fields[strand] = n
				_, inMine := m.trees[1].at([]string{"strands", strand})
				_, inTheirs := m.trees[2].at([]string{"strands", strand})
				m.conflict([]string{"strands", strand}, !inMine, !inTheirs)
				break
			}
		}
	}
	if strands.fields != nil {
		strands.leaf = ""
		out.rest.fields["strands"] = strands
	}
}

func (m *merger) stepOrder(out tree) map[string][]string {
	order := map[string][]string{}
	for strand := range out.rest.fields["strands"].fields {
		keys, both := mergeOrder(m.trees[0].order[strand], m.trees[1].order[strand], m.trees[2].order[strand],
			func(key string) bool { return out.strand[key] == strand })
		if both {
			m.conflict([]string{"steps"}, false, false)
		}
		order[strand] = keys
	}
	return order
}

// mergeOrder merges the order of the keys that are there: it uses the order of
// the person who changed it, or mine if both did, which it reports. A key that
// only one of them has goes after the same key as on that side.
func mergeOrder(base, mine, theirs []string, there func(string) bool) (order []string, both bool) {
	shared := func(list []string) []string {
		var out []string
		for _, key := range list {
			if there(key) && slices.Contains(mine, key) && slices.Contains(theirs, key) {
				out = append(out, key)
			}
		}
		return out
	}
	b, m, t := shared(base), shared(mine), shared(theirs)
	spine := m
	if slices.Equal(m, b) {
		spine = t
	}
	both = !slices.Equal(m, t) && !slices.Equal(m, b) && !slices.Equal(t, b)
	own, their := tails(mine, spine, there), tails(theirs, spine, there)
	order = []string{}
	for _, key := range append([]string{""}, spine...) {
		if key != "" {
			order = append(order, key)
		}
		first, second := own[key], their[key]
		// The result must not depend on who merges.
		if len(first) > 0 && len(second) > 0 && second[0] < first[0] {
			first, second = second, first
		}
		order = append(append(order, first...), second...)
	}
	return order, both
}

// tails returns, for each key of the spine and for the start, the keys that
// follow it in the list and are not in the spine.
func tails(list, spine []string, there func(string) bool) map[string][]string {
	out, after := map[string][]string{}, ""
	for _, key := range list {
		switch {
		case slices.Contains(spine, key):
			after = key
		case there(key):
			out[after] = append(out[after], key)
		}
	}
	return out
}
