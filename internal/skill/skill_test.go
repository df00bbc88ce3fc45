package skill

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/newel"
	"newel/internal/program"
)

// id returns an id made from a small number.
func id(n int) newel.ProgramID {
	var p newel.ProgramID
	p.UUID[15] = byte(n)
	return p
}

// shelf builds programs from lines such as "Bakery: waits, chooses > orders,
// greets": what each needs and what it teaches.
func shelf(lines ...string) *Shelf {
	var programs []program.Skills
	for i, line := range lines {
		title, rest, _ := strings.Cut(line, ":")
		needs, teaches, _ := strings.Cut(rest, ">")
		p := program.Skills{ID: id(i + 1), Title: title, Needs: names(needs)}
		for _, name := range names(teaches) {
			p.Teaches = append(p.Teaches, program.TaughtSkill{Skill: name})
		}
		programs = append(programs, p)
	}
	return NewShelf(nil, programs)
}

func names(list string) []string {
	var out []string
	for name := range strings.SplitSeq(list, ",") {
		if name = strings.TrimSpace(name); name != "" {
			out = append(out, name)
		}
	}
	return out
}

func titles(programs []Program) []string {
	var out []string
	for _, p := range programs {
		out = append(out, p.Title)
	}
	return out
}

func TestNamesOfSkills(t *testing.T) {
	t.Parallel()
	renamed := newel.Skill{ID: newel.NewID[newel.SkillID](), Name: "Waits for a minute", Area: "coping", Names: []string{"waits 60 s", "waits for a minute"}}
	s := NewShelf([]newel.Skill{renamed}, []program.Skills{
		{ID: id(1), Title: "Waiting", Teaches: []program.TaughtSkill{{Skill: "Waits  60 s", Step: "w5"}}, Steps: map[string]string{"w5": "W5"}},
		{ID: id(2), Title: "Bakery", Needs: []string{"waits for a MINUTE", "waits 60 s", "Straße"}},
	})
	k := s.Key("waits 60 s")
	if x := s.Skill(k); x.ID != renamed.ID || x.Name != "Waits for a minute" || x.Area != "coping" {
		t.Errorf("%+v", x)
	}
	bakery, _ := s.Program(id(2))
	if diff := cmp.Diff([]Key{k, s.Key("STRASSE")}, bakery.Needs); diff != "" {
		t.Error("the names of one skill differ after Unicode folding:", diff)
	}
	if got := s.Teachers(k); len(got) != 1 || got[0].Teaches[0].Step != "W5" {
		t.Errorf("%+v", got)
	}
	if !s.Listed("waits 60 s") || s.Listed("Straße") || s.Listed("unknown") {
		t.Error("Listed is wrong")
	}
}

func TestCircles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		shelf []string
		want  []string // of the first
	}{
		{"none", []string{"A: b >a", "B: >b"}, nil},
		{"two", []string{"A: b > a", "B: a > b"}, []string{"A", "B"}},
		{"the shortest way", []string{"A: b, d > a", "B: c > b", "C: a > c", "D: a > d"}, []string{"A", "D"}},
		{"itself", []string{"A: a > a", "B: > a"}, []string{"A"}},
		{"itself, in a different spelling", []string{"A: Counts > counts"}, []string{"A"}},
		{"another program teaches it too", []string{"A: b > a", "B: a > b", "C: > b"}, nil},
		{"no other program teaches it", []string{"A: b > a", "B: a > b", "C: a > b"}, []string{"A", "B"}},
		{"it waits for a circle of others", []string{"A: b > a", "B: c > b", "C: b > c"}, nil},
		{"an untaught skill blocks no one", []string{"A: x > a", "B: a > b"}, nil},
	} {
		if got := titles(shelf(c.shelf...).Circle(id(1))); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if shelf("A: a > a").Circle(id(9)) != nil {
		t.Error("a program that is not there")
	}
}

func has(s *Shelf, list ...string) map[Key]bool {
	out := map[Key]bool{}
	for _, name := range list {
		out[s.Key(name)] = true
	}
	return out
}

func TestOrder(t *testing.T) {
	t.Parallel()
	demo := []string{
		"Memory pairs: matches > takes turns", "Fine either way: takes turns, copes > loses well", "Waiting: first-then > waits",
		"Bakery: waits, chooses > orders", "Break card: > asks for a break", "Toothbrush: > brushes",
	}
	for _, c := range []struct {
		name     string
		shelf    []string
		has      []string
		taught   []int
		finished []int
		want     []string
		waiting  []string // with the skills it lacks
	}{
		{"nothing yet", demo, nil, nil, nil, []string{"Break card", "Toothbrush"}, []string{
			"Bakery: chooses waits", "Fine either way: copes takes turns", "Memory pairs: matches", "Waiting: first-then",
		}},
		{
			"most opened programs first, then title", demo,
			[]string{"matches", "copes", "first-then", "chooses"},
			nil, nil,
			[]string{"Memory pairs", "Waiting", "Bakery", "Break card", "Fine either way", "Toothbrush"},
			nil,
		},
		{
			"programs being taught first, acquired skills omitted", demo,
			[]string{"matches", "copes", "waits", "chooses"},
			[]int{6},
			nil,
			[]string{"Toothbrush", "Memory pairs", "Bakery", "Break card", "Fine either way"},
			nil,
		},
		{"finished", demo, []string{"matches", "copes"}, nil, []int{1, 5}, []string{"Toothbrush"}, []string{
			"Bakery: chooses waits", "Fine either way: takes turns", "Waiting: first-then",
		}},
		{"opened through others", []string{"A: > a", "B: > b", "C: b > c", "D: c > d"}, nil, nil, nil, []string{"B", "C", "A", "D"}, nil},
		{"a circle", []string{"A: b > a", "B: a > b", "C: > c"}, nil, nil, nil, []string{"C"}, []string{"A: b", "B: a"}},
		{"no skills at all", []string{"A:", "B: > b"}, nil, nil, nil, []string{"B"}, nil},
		{"a goal that teaches nothing named", []string{"A: b >", "B: > b"}, nil, nil, nil, []string{"B", "A"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := shelf(c.shelf...)
			at := Profile{Has: has(s, c.has...), Taught: ids(c.taught), Finished: ids(c.finished)}
			order, waiting := s.Order(at)
			var got, left []string
			for _, p := range order {
				got = append(got, p.Program.Title)
			}
			for _, w := range waiting {
				line := w.Program.Title + ":"
				s.byName(w.Missing)
				for _, k := range w.Missing {
					line += " " + s.Skill(k).Name
				}
				left = append(left, line)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.waiting, left); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func ids(list []int) map[newel.ProgramID]bool {
	out := map[newel.ProgramID]bool{}
	for _, n := range list {
		out[id(n)] = true
	}
	return out
}

func TestProposalsNameTheirReasons(t *testing.T) {
	t.Parallel()
	s := shelf("Bakery: waits, chooses > orders", "Waiting: > waits, sits", "Shopping: orders > shops")
	order, _ := s.Order(Profile{Has: has(s, "chooses", "sits")})
	waiting, bakery := order[0], order[1]
	if diff := cmp.Diff([]string{"Bakery", "Shopping"}, titles(waiting.Opens)); diff != "" || waiting.After != nil {
		t.Error(diff, waiting.After)
	}
	if diff := cmp.Diff([]Key{s.Key("waits")}, waiting.Gains); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"Waiting"}, titles(bakery.After)); diff != "" {
		t.Error(diff)
	}
}

// drawn generates a shelf of up to eight programs over six skills.
func drawn(t *rapid.T) []string {
	skills := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"a", "b", "c", "d", "e", "f"}), 0, 3, rapid.ID)
	lines := make([]string, rapid.IntRange(0, 8).Draw(t, "programs"))
	for i := range lines {
		lines[i] = fmt.Sprintf("P%d: %s > %s", i, strings.Join(skills.Draw(t, "needs"), ","), strings.Join(skills.Draw(t, "teaches"), ","))
	}
	return lines
}

func TestOrderProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := drawn(t)
		s := shelf(lines...)
		at := Profile{
			Has:    has(s, rapid.SliceOf(rapid.SampledFrom([]string{"a", "b", "c"})).Draw(t, "has")...),
			Taught: ids(rapid.SliceOf(rapid.IntRange(1, 8)).Draw(t, "taught")), Finished: ids(rapid.SliceOf(rapid.IntRange(1, 8)).Draw(t, "finished")),
		}
		order, waiting := s.Order(at)
		got, seen := has(s), map[newel.ProgramID]bool{}
		for k := range at.Has {
			got[k] = true
		}
		for _, p := range order {
			if missing := s.Missing(p.Program, got); len(missing) > 0 {
				t.Fatalf("%s is proposed without %v", p.Program.Title, missing)
			}
			if seen[p.Program.ID] || at.Finished[p.Program.ID] {
				t.Fatalf("%s is proposed twice or again", p.Program.Title)
			}
			seen[p.Program.ID] = true
			for _, taught := range p.Program.Teaches {
				got[taught.Key] = true
			}
		}
		for _, w := range waiting {
			if len(w.Missing) == 0 || len(s.Missing(w.Program, got)) == 0 {
				t.Fatalf("%s waits for nothing", w.Program.Title)
			}
		}
		// The same shelf, filled in a different order, gives the same result.
		turned := &Shelf{Programs: slices.Clone(s.Programs), keys: s.keys, skills: s.skills}
		slices.Reverse(turned.Programs)
		turned.sort()
		if again, _ := turned.Order(at); !cmp.Equal(order, again) {
			t.Fatal("a different order for the same shelf")
		}
	})
}

// TestCirclesAndLayers: everything that leads to a node is in an earlier layer,
// unless they are on or behind a cycle; skills are in even layers, programs in
// odd ones.
func TestCirclesAndLayers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := shelf(drawn(t)...)
		round := slices.ContainsFunc(s.Programs, func(p Program) bool { return s.plainCircle(p) })
		nodes := s.Map()
		for i, n := range nodes {
			if n.Layer%2 != odd(n.Program != nil) || i > 0 && nodes[i-1].Layer > n.Layer {
				t.Fatalf("node %d of %+v", i, nodes)
			}
			for _, f := range n.From {
				if !round && nodes[f].Layer >= n.Layer {
					t.Fatalf("%d leads to %d in %+v", f, i, nodes)
				}
			}
		}
		// Without any cycle there is none that a program waits for.
		for _, p := range s.Programs {
			if !round && s.Circle(p.ID) != nil {
				t.Fatalf("%s: a cycle where there is none", p.Title)
			}
		}
	})
}

// plainCircle reports whether a program leads back to itself by any path, even
// if a skill is also taught elsewhere.
func (s *Shelf) plainCircle(p Program) bool {
	seen := map[newel.ProgramID]bool{}
	var from func(Program) bool
	from = func(q Program) bool {
		for _, k := range q.Needs {
			for _, r := range s.Teachers(k) {
				if r.ID == p.ID {
					return true
				}
				if !seen[r.ID] {
					seen[r.ID] = true
					if from(r) {
						return true
					}
				}
			}
		}
		return false
	}
	return from(p)
}

func TestMapOfAChain(t *testing.T) {
	t.Parallel()
	s := shelf("Waiting: first-then > waits", "Bakery: waits, chooses > orders", "Shoes: > shoes on")
	var got []string
	for _, n := range s.Map() {
		name := n.Skill.Name
		if n.Program != nil {
			name = n.Program.Title
		}
		got = append(got, fmt.Sprint(n.Layer, " ", name, " ", n.From))
	}
	want := []string{
		"0 first-then []", "1 Waiting [0]", "1 Shoes []", "2 chooses []", "2 shoes on [1]", "2 waits [2]", "3 Bakery [3 5]", "4 orders [6]",
	}
	slices.Sort(got)
	slices.Sort(want)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestSimilarNamesAreSuggested(t *testing.T) {
	t.Parallel()
	s := shelf("Waiting: > waits a minute", "Pairs: > takes turns", "Bakery: waits a minut > orders")
	for typed, want := range map[string]string{
		"waits a minut": "waits a minute", "Take turns": "takes turns", "swims": "", "waits a minute": "", "order": "orders", "waits": "",
	} {
		if got, _ := s.Like(typed); got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
}
