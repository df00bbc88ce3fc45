package skill

import (
	"cmp"
	"slices"
	"strings"

	"newel/internal/newel"
	"newel/internal/program"
)

// Key identifies a skill for comparison: the id of a skill on the clinic's
// list, or the folded name of one that is not on it.
type Key string

// Program is a program with its skills as keys.
type Program struct {
	ID      newel.ProgramID
	Title   string
	Needs   []Key
	Teaches []Taught
}

// Taught is a skill that a program teaches, with the step that completes it;
// without a step, the end of the program.
type Taught struct {
	Key  Key
	Step string // title of the step
}

func (p Program) teaches(k Key) bool {
	return slices.ContainsFunc(p.Teaches, func(t Taught) bool { return t.Key == k })
}

// Skill is a skill as displayed.
type Skill struct {
	Key  Key
	ID   newel.SkillID // zero if it is not on the clinic's list
	Name string
	Area string
}

// Shelf holds the clinic's programs with the skills they need and teach.
type Shelf struct {
	Programs []Program // by title
	keys     map[string]Key
	skills   map[Key]Skill
}

// NewShelf returns a Shelf with the programs. A name that is neither a current
// nor a former name of a listed skill identifies itself.
func NewShelf(list []newel.Skill, programs []program.Skills) *Shelf {
	s := &Shelf{keys: map[string]Key{}, skills: map[Key]Skill{}}
	for _, x := range list {
		k := Key(x.ID.String())
		s.skills[k] = Skill{Key: k, ID: x.ID, Name: x.Name, Area: x.Area}
		for _, name := range x.Names {
			s.keys[name] = k
		}
		s.keys[newel.FoldSkill(x.Name)] = k
	}
	for _, p := range programs {
		s.Programs = append(s.Programs, s.program(p))
	}
	s.sort()
	return s
}

func (s *Shelf) sort() {
	slices.SortFunc(s.Programs, func(a, b Program) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Title), strings.ToLower(b.Title)), strings.Compare(a.ID.String(), b.ID.String()))
	})
}

func (s *Shelf) program(p program.Skills) Program {
	out := Program{ID: p.ID, Title: p.Title}
	for _, name := range p.Needs {
		if k := s.Key(name); !slices.Contains(out.Needs, k) {
			out.Needs = append(out.Needs, k)
		}
	}
	for _, t := range p.Teaches {
		if k := s.Key(t.Skill); !out.teaches(k) {
			out.Teaches = append(out.Teaches, Taught{Key: k, Step: p.Steps[t.Step]})
		}
	}
	return out
}

// Key returns the key of a name. A new name is remembered as written.
func (s *Shelf) Key(name string) Key {
	folded := newel.FoldSkill(name)
	if k, known := s.keys[folded]; known {
		return k
	}
	k := Key("~" + folded)
	s.keys[folded], s.skills[k] = k, Skill{Key: k, Name: strings.Join(strings.Fields(name), " ")}
	return k
}

// Skill returns the skill of a key.
func (s *Shelf) Skill(k Key) Skill { return s.skills[k] }

// Listed reports whether name is a skill on the clinic's list.
func (s *Shelf) Listed(name string) bool {
	k, known := s.keys[newel.FoldSkill(name)]
	return known && !s.skills[k].ID.IsZero()
}

// Put adds a program to the shelf, replacing any with the same id.
func (s *Shelf) Put(p program.Skills) {
	s.Programs = slices.DeleteFunc(slices.Clone(s.Programs), func(q Program) bool { return q.ID == p.ID })
	s.Programs = append(s.Programs, s.program(p))
	s.sort()
}

// Program returns a program of the shelf.
func (s *Shelf) Program(id newel.ProgramID) (Program, bool) {
	i := slices.IndexFunc(s.Programs, func(p Program) bool { return p.ID == id })
	if i < 0 {
		return Program{}, false
	}
	return s.Programs[i], true
}

// Teachers lists the programs that teach a skill.
func (s *Shelf) Teachers(k Key) []Program {
	return s.which(func(p Program) bool { return p.teaches(k) })
}

// Users lists the programs that need a skill.
func (s *Shelf) Users(k Key) []Program {
	return s.which(func(p Program) bool { return slices.Contains(p.Needs, k) })
}

func (s *Shelf) which(is func(Program) bool) []Program {
	var out []Program
	for _, p := range s.Programs {
		if is(p) {
			out = append(out, p)
		}
	}
	return out
}

// Missing lists what a program needs and the learner does not have.
func (s *Shelf) Missing(p Program, has map[Key]bool) []Key {
	var out []Key
	for _, k := range p.Needs {
		if !has[k] {
			out = append(out, k)
		}
	}
	return out
}

// Used lists the skills that programs of the shelf need or teach, by name.
func (s *Shelf) Used() []Key {
	seen := map[Key]bool{}
	var out []Key
	add := func(k Key) {
		if !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	for _, p := range s.Programs {
		for _, k := range p.Needs {
			add(k)
		}
		for _, t := range p.Teaches {
			add(t.Key)
		}
	}
	s.byName(out)
	return out
}

func (s *Shelf) byName(keys []Key) {
	slices.SortFunc(keys, func(a, b Key) int {
		return cmp.Or(strings.Compare(strings.ToLower(s.skills[a].Name), strings.ToLower(s.skills[b].Name)), cmp.Compare(a, b))
	})
}

// Like returns a taught skill whose name may have been meant by name: one that
// differs in at most a quarter of its letters.
func (s *Shelf) Like(name string) (string, bool) {
	folded := newel.FoldSkill(name)
	best, least := "", len([]rune(folded))/4
	for _, k := range s.Used() {
		x := s.skills[k]
		other := newel.FoldSkill(x.Name)
		if other == folded || len(s.Teachers(k)) == 0 {
			continue
		}
		if d := distance(folded, other); d < least || d == least && best == "" && d > 0 {
			best, least = x.Name, d
		}
	}
	return best, best != ""
}

// distance returns the number of letters to insert, delete or change
// (Levenshtein 1966; from memory).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		before := row[0]
		row[0] = i + 1
		for j := range y {
			change := before
			if x[i] != y[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
