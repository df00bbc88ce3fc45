package skill

import (
	"slices"

	"newel/internal/newel"
)

// Circle returns the shortest cycle of prerequisites through the program id,
// starting with that program; nil if there is none. A skill that is also taught
// by a program outside every cycle, or by no program (learners bring it with
// them), blocks no one. A program that needs what it teaches is a cycle by
// itself.
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
	return nil // it waits for a cycle of others
}

// awaited returns the programs that p waits for, none of which can be started.
func (s *Shelf) awaited(p Program, able map[newel.ProgramID]bool) []Program {
	var out []Program
	for _, k := range p.Needs {
		if !s.obtainable(k, able) {
			out = append(out, s.Teachers(k)...)
		}
	}
	return out
}

// able returns the programs that a learner who already has every untaught skill
// could start sooner or later.
func (s *Shelf) able() map[newel.ProgramID]bool {
	able := map[newel.ProgramID]bool{}
	for more := true; more; {
		more = false
		for _, p := range s.Programs {
			blocked := slices.ContainsFunc(p.Needs, func(k Key) bool { return !s.obtainable(k, able) })
			if !able[p.ID] && !blocked {
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
