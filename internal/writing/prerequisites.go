package writing

import (
	"slices"

	"newel/internal/newel"
)

// prerequisites: a program that waits, through others, for itself could never
// be begun.
func (r *reviewer) prerequisites(around Around) {
	var own []newel.ProgramID
	for _, p := range r.d.Prerequisites {
		if p.Program != nil {
			own = append(own, *p.Program)
		}
	}
	if circle := Circle(around.Program, own, around.Needs); circle != nil {
		r.add(newel.StopsPublishing, nil, "prerequisites", "check.prerequisite_circle", "programs", len(circle))
	}
}

// Circle gives the programs by which one leads back to itself through what it
// and others need, shortest first, itself at the head; nil if it does not.
func Circle(program newel.ProgramID, own []newel.ProgramID, needs map[newel.ProgramID][]newel.ProgramID) []newel.ProgramID {
	if program.IsZero() {
		return nil
	}
	seen := map[newel.ProgramID]bool{}
	paths := [][]newel.ProgramID{{program}}
	for len(paths) > 0 {
		path := paths[0]
		paths = paths[1:]
		next := own
		if last := path[len(path)-1]; last != program {
			next = needs[last]
		}
		for _, id := range next {
			if id == program {
				return path
			}
			if !seen[id] {
				seen[id] = true
				paths = append(paths, append(slices.Clone(path), id))
			}
		}
	}
	return nil
}
