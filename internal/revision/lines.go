package revision

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
)

// linesOf gives the elements of a list whose things have no keys, as JSON. What
// is not there is a list of nothing.
func linesOf(n node) (lines []string, list bool) {
	switch {
	case !n.whole():
		return nil, false
	case n.leaf == "" || n.leaf == "null":
		return nil, true
	case !strings.HasPrefix(n.leaf, "["):
		return nil, false
	}
	var raw []json.RawMessage
	if json.Unmarshal([]byte(n.leaf), &raw) != nil {
		return nil, false
	}
	for _, r := range raw {
		lines = append(lines, string(r))
	}
	return lines, true
}

// inLines merges three lists line by line, if they are such lists.
func (m *merger) inLines(path []string, base, mine, theirs node) (merged node, ok bool) {
	var lists [3][]string
	some := false
	for i, n := range []node{base, mine, theirs} {
		if lists[i], ok = linesOf(n); !ok {
			return node{}, false
		}
		some = some || len(lists[i]) > 0
	}
	if !some {
		return node{}, false
	}
	lines, both := mergeLines(lists[0], lists[1], lists[2], ranked[path[len(path)-1]])
	if both {
		m.conflict(path, false, false)
		return mine, true
	}
	return apart(json.RawMessage("[" + strings.Join(lines, ",") + "]")), true
}

// ranked are the lists whose order says something: help from least to most.
// Where two put something into the same place of one, somebody has to say which
// comes first.
var ranked = map[string]bool{"help_levels": true}

// lineEdits is what one person did to a list.
type lineEdits struct {
	gone    []bool         // by line of the base
	instead []string       // what took the line's place; empty: nothing did
	added   [][]string     // by the line of the base before which they stand; one more than there are lines
	count   map[string]int // of the added
}

// lineEditsOf finds them as a longest common subsequence leaves them.
func lineEditsOf(base, list []string) lineEdits {
	e := lineEdits{make([]bool, len(base)), make([]string, len(base)), make([][]string, len(base)+1), map[string]int{}}
	table := lengths(base, list)
	i, j := 0, 0
	for i < len(base) || j < len(list) {
		from, put := i, []string(nil)
		for i < len(base) || j < len(list) {
			if i < len(base) && j < len(list) && base[i] == list[j] {
				break
			}
			if j == len(list) || i < len(base) && table[i+1][j] >= table[i][j+1] {
				i++
				continue
			}
			put = append(put, list[j])
			e.count[list[j]]++
			j++
		}
		for k := from; k < i; k++ {
			e.gone[k], e.instead[k] = true, strings.Join(put, "\n")
		}
		e.added[from] = append(e.added[from], put...)
		if i < len(base) { // both have this one
			i, j = i+1, j+1
		}
	}
	return e
}

// mergeLines brings together what two made of a list: what either has taken out
// is gone, what either has put in is there, once if both have. It reports
// whether both wrote something else in the place of one line, or, in a list
// whose order says something, put something into the same place. The order does
// not depend on who merges.
func mergeLines(base, mine, theirs []string, ordered bool) (out []string, both bool) {
	if slices.Equal(mine, theirs) {
		return mine, false
	}
	m, t := lineEditsOf(base, mine), lineEditsOf(base, theirs)
	for i := range base {
		if m.instead[i] != "" && t.instead[i] != "" && m.instead[i] != t.instead[i] {
			return nil, true
		}
	}
	said := map[string]int{}
	for i := range m.added {
		first, second := m.added[i], t.added[i]
		if ordered && len(first) > 0 && len(second) > 0 && !slices.Equal(first, second) {
			return nil, true
		}
		if slices.CompareFunc(first, second, compareLines) > 0 {
			first, second = second, first
		}
		for _, line := range slices.Concat(first, second) {
			if said[line]++; said[line] <= max(m.count[line], t.count[line]) {
				out = append(out, line)
			}
		}
		if i < len(base) && !m.gone[i] && !t.gone[i] {
			out = append(out, base[i])
		}
	}
	return out, false
}

// compareLines orders numbers as numbers and everything else as text.
func compareLines(a, b string) int {
	if strings.Trim(a+b, "0123456789") == "" {
		return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b))
	}
	return cmp.Compare(a, b)
}
