package skill

import (
	"slices"

	"newel/internal/newel"
)

// Circle gives the programs by which one leads back to itself through what it
// and others need, shortest first, itself at the head; nil if it does not. A
// skill that is also taught by a program outside of every circle, or by none
// (learners bring it with them), keeps nobody waiting. A program that needs
// what it teaches itself is a circle of its own.
func (s *Shelf) Circle(id newel.ProgramID) []Program {
	p, there := s.Program(id)
	if !there {
		return nil
	}
	if slices.ContainsFunc(p.Needs, p.teaches) {
		return []Program{p}
	}
	able := s.able()
	if able[id] {
		return nil
	}
	seen := map[newel.ProgramID]bool{}
	paths := [][]Program{{p}}
	for len(paths) > 0 {
		path := paths[0]
		paths = paths[1:]
		for _, q := range s.awaited(path[len(path)-1], able) {
			if q.ID == id {
				return path
			}
			if !seen[q.ID] {
				seen[q.ID] = true
				paths = append(paths, append(slices.Clone(path), q))
			}
		}
	}
	return nil // it waits for a circle of others
}

// awaited lists the programs of which a program waits for one, where none can
// be begun.
func (s *Shelf) awaited(p Program, able map[newel.ProgramID]bool) []Program {
	var out []Program
	for _, k := range p.Needs {
		if !s.obtainable(k, able) {
			out = append(out, s.Teachers(k)...)
		}
	}
	return out
}

// able gives the programs that a learner who brings what nobody teaches could
// begin sooner or later.
func (s *Shelf) able() map[newel.ProgramID]bool {
	able := map[newel.ProgramID]bool{}
	for more := true; more; {
		more = false
		for _, p := range s.Programs {
			waits := slices.ContainsFunc(p.Needs, func(k Key) bool { return !s.obtainable(k, able) })
			if !able[p.ID] && !waits {
				able[p.ID], more = true, true
			}
		}
	}
	return able
}

func (s *Shelf) obtainable(k Key, able map[newel.ProgramID]bool) bool {
	teachers := s.Teachers(k)
	return len(teachers) == 0 || slices.ContainsFunc(teachers, func(p Program) bool { return able[p.ID] })
}
