package skill

import "slices"

// Node is a program or a skill of the map.
type Node struct {
	Program *Program // nil for a skill
	Skill   Skill
	Layer   int   // length of the longest path to it: even for skills, odd for programs
	From    []int // indices of the nodes that lead to it
}

// Map returns the dependency graph: skills and the programs that teach them,
// each after everything that leads to it. Cycles and what depends on them come
// last. A skill that no program needs comes after the programs that teach it.
func (s *Shelf) Map() []Node {
	var nodes []Node
	skills := map[Key]int{}
	programs := s.which(func(p Program) bool { return len(p.Needs)+len(p.Teaches) > 0 })
	for _, k := range s.Used() {
		skills[k] = len(nodes)
		nodes = append(nodes, Node{Skill: s.skills[k]})
	}
	for i := range programs {
		p, at := &programs[i], len(nodes)
		n := Node{Program: p}
		for _, k := range p.Needs {
			n.From = append(n.From, skills[k])
		}
		nodes = append(nodes, n)
		for _, t := range p.Teaches {
			nodes[skills[t.Key]].From = append(nodes[skills[t.Key]].From, at)
		}
	}
	layer(nodes)
	return sorted(nodes)
}

// layer computes the length of the longest path to each node (longest-path
// layering). Nodes on a cycle have no longest path; they go one layer after
// everything else.
func layer(nodes []Node) {
	next := make([][]int, len(nodes))
	before := make([]int, len(nodes))
	for i, n := range nodes {
		before[i] = len(n.From)
		for _, f := range n.From {
			next[f] = append(next[f], i)
		}
	}
	var queue []int
	for i := range nodes {
		if nodes[i].Program != nil {
			nodes[i].Layer = 1
		}
		if before[i] == 0 {
			queue = append(queue, i)
		}
	}
	placed, deepest := map[int]bool{}, 0
	for ; len(queue) > 0; queue = queue[1:] {
		i := queue[0]
		placed[i] = true
		deepest = max(deepest, nodes[i].Layer)
		for _, j := range next[i] {
			nodes[j].Layer = max(nodes[j].Layer, nodes[i].Layer+1)
			if before[j]--; before[j] == 0 {
				queue = append(queue, j)
			}
		}
	}
	for i := range nodes {
		switch n := &nodes[i]; {
		case !placed[i]:
			n.Layer = deepest + 1 + (deepest+1+odd(n.Program != nil))%2
		case len(n.From) == 0 && n.Program == nil: // skills that learners bring go right before the programs that need them
			n.Layer = deepest
			for _, j := range next[i] {
				n.Layer = min(n.Layer, nodes[j].Layer-1)
			}
		}
	}
}

func odd(is bool) int {
	if is {
		return 1
	}
	return 0
}

// sorted returns the nodes in order of their layers.
func sorted(nodes []Node) []Node {
	places := make([]int, len(nodes))
	for i := range places {
		places[i] = i
	}
	slices.SortStableFunc(places, func(a, b int) int { return nodes[a].Layer - nodes[b].Layer })
	at := make([]int, len(nodes))
	for to, from := range places {
		at[from] = to
	}
	out := make([]Node, len(nodes))
	for to, from := range places {
		n := nodes[from]
		n.From = slices.Clone(n.From)
		for i := range n.From {
			n.From[i] = at[n.From[i]]
		}
		slices.Sort(n.From)
		out[to] = n
	}
	return out
}
