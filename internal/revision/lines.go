package revision

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
)

// linesOf returns the elements, as JSON, of a list whose items have no keys. A
// missing list counts as an empty one.
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

// inLines merges three lists line by line, if they are lists without keys.
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

// ranked contains the lists whose order matters, such as help from least to
// most. If two people insert into the same position of one, a person has to
// decide which comes first.
var ranked = map[string]bool{"help_levels": true}

// lineEdits is what one person changed in a list.
type lineEdits struct {
	gone    []bool         // by line of the base
	instead []string       // the line's replacement; empty if there is none
	added   [][]string     // by the line of the base that they precede; one more than there are lines
	count   map[string]int // of added lines
}

// lineEditsOf derives them from a longest common subsequence.
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

// mergeLines combines two people's changes to a list: what either removed is
// gone; what either added is there, once if both added it. It reports a
// conflict if both replaced the same line differently or, in a list whose order
// matters, inserted into the same position. The order of the result does not
// depend on who merges.
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
	may := mayAdd(base, mine, theirs, m, t)
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
			if said[line]++; said[line] <= may[line] {
				out = append(out, line)
			}
		}
		if i < len(base) && !m.gone[i] && !t.gone[i] {
			out = append(out, base[i])
		}
	}
	return out, false
}

// mayAdd returns how often each added line may appear besides the lines of the
// base that remain. A line that both added appears once. A line that both moved,
// each another one of its kind, stays as many as there were: to move is to
// remove and to add, and no one meant to have fewer.
func mayAdd(base, mine, theirs []string, m, t lineEdits) map[string]int {
	remain := map[string]int{}
	for i, line := range base {
		if !m.gone[i] && !t.gone[i] {
			remain[line]++
		}
	}
	had, first, second := countLines(base), countLines(mine), countLines(theirs)
	may := map[string]int{}
	for _, added := range []map[string]int{m.count, t.count} {
		for line := range added {
			one, other := first[line]-had[line], second[line]-had[line]
			meant := had[line] + max(one, other, 0) + min(one, 0) + min(other, 0)
			both := m.count[line] + t.count[line]
			may[line] = max(m.count[line], t.count[line], min(meant-remain[line], both))
		}
	}
	return may
}

func countLines(list []string) map[string]int {
	n := map[string]int{}
	for _, line := range list {
		n[line]++
	}
	return n
}

// compareLines compares numbers numerically and everything else as text.
func compareLines(a, b string) int {
	if strings.Trim(a+b, "0123456789") == "" {
		return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b))
	}
	return cmp.Compare(a, b)
}
