package skill

import (
	"cmp"
	"slices"
	"strings"

	"newel/internal/newel"
)

// Profile is a learner's state: the skills they have, and the programs being
// taught or finished.
type Profile struct {
	Has      map[Key]bool
	Taught   map[newel.ProgramID]bool
	Finished map[newel.ProgramID]bool
}

// Proposal is one entry in the proposed order.
type Proposal struct {
	Program Program
	Taught  bool      // it is already being taught
	Gains   []Key     // skills that it teaches and the learner lacks
	After   []Program // programs in the order that teach what it needs
	Opens   []Program // programs in the order that depend on it, directly or indirectly
}

// Blocked is a program that no order reaches, because no program that could be
// started teaches what it needs.
type Blocked struct {
	Program Program
	Missing []Key
}

// Order proposes an order in which a learner could be taught the programs. Each
// comes after those that teach what it needs and the learner lacks. If several
// could be next, one that is already being taught comes first, then the one
// that opens the most later programs, then alphabetical order of title.
// Programs that are finished, that teach only what the learner has, or that
// neither need nor teach anything are omitted.
func (s *Shelf) Order(at Profile) (order []Proposal, blocked []Blocked) {
	left := s.which(func(p Program) bool { return s.useful(p, at) })
	opens := s.opens(left, at.Has)
	has := map[Key]bool{}
	for k, is := range at.Has {
		has[k] = is
	}
	for {
		ready := slices.Collect(func(yield func(Program) bool) {
			for _, p := range left {
				if len(s.Missing(p, has)) == 0 && !yield(p) {
					return
				}
			}
		})
		if len(ready) == 0 {
			break
		}
		next := slices.MinFunc(ready, func(a, b Program) int {
			return cmp.Or(
				first(at.Taught[a.ID], at.Taught[b.ID]), cmp.Compare(len(opens[b.ID]), len(opens[a.ID])),
				strings.Compare(strings.ToLower(a.Title), strings.ToLower(b.Title)), strings.Compare(a.ID.String(), b.ID.String()))
		})
		order = append(order, s.proposal(next, at, order, opens[next.ID]))
		for _, t := range next.Teaches {
			has[t.Key] = true
		}
		left = slices.DeleteFunc(left, func(p Program) bool { return p.ID == next.ID })
	}
	for _, p := range left {
		blocked = append(blocked, Blocked{p, s.Missing(p, has)})
	}
	return order, blocked
}

func first(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

func (s *Shelf) useful(p Program, at Profile) bool {
	if at.Finished[p.ID] || len(p.Needs)+len(p.Teaches) == 0 {
		return false
	}
	return at.Taught[p.ID] || len(p.Teaches) == 0 || len(gains(p, at.Has)) > 0
}

func gains(p Program, has map[Key]bool) []Key {
	var out []Key
	for _, t := range p.Teaches {
		if !has[t.Key] {
			out = append(out, t.Key)
		}
	}
	return out
}

// opens returns, for each program, the programs that depend on it, directly or
// indirectly.
func (s *Shelf) opens(programs []Program, has map[Key]bool) map[newel.ProgramID][]Program {
	direct := func(p Program) []Program {
		var out []Program
		for _, q := range programs {
			if q.ID != p.ID && slices.ContainsFunc(s.Missing(q, has), p.teaches) {
				out = append(out, q)
			}
		}
		return out
	}
	all := map[newel.ProgramID][]Program{}
	for _, p := range programs {
		seen := map[newel.ProgramID]bool{p.ID: true}
		for queue := direct(p); len(queue) > 0; queue = queue[1:] {
			if q := queue[0]; !seen[q.ID] {
				seen[q.ID] = true
				all[p.ID] = append(all[p.ID], q)
				queue = append(queue, direct(q)...)
			}
		}
	}
	return all
}

func (s *Shelf) proposal(p Program, at Profile, before []Proposal, opens []Program) Proposal {
	out := Proposal{Program: p, Taught: at.Taught[p.ID], Gains: gains(p, at.Has), Opens: opens}
	for _, q := range before {
		if slices.ContainsFunc(s.Missing(p, at.Has), q.Program.teaches) {
			out.After = append(out.After, q.Program)
		}
	}
	return out
}
