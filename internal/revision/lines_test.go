package revision

import (
	"slices"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/program"
)

func TestMergeOfListsWithoutKeys(t *testing.T) {
	t.Parallel()
	things := func(d *program.Document) *[]program.Material { return &d.Materials }
	set := func(texts ...string) func(*program.Document) {
		return func(d *program.Document) {
			*things(d) = nil
			for _, text := range texts {
				d.Materials = append(d.Materials, program.Material{Text: text})
			}
		}
	}
	for _, c := range []struct {
		name               string
		base, mine, theirs []string
		want               []string // nil: a person is asked
	}{
		{"each adds a line", []string{"cups"}, []string{"cups", "disc"}, []string{"cups", "tray"}, []string{"cups", "disc", "tray"}},
		{"each adds the first line", nil, []string{"disc"}, []string{"cups"}, []string{"cups", "disc"}},
		{"both add the same", []string{"cups"}, []string{"cups", "disc"}, []string{"disc", "cups"}, []string{"disc", "cups"}},
		{"one in front, one behind", []string{"cups"}, []string{"mat", "cups"}, []string{"cups", "tray"}, []string{"mat", "cups", "tray"}},
		{"one removes, one adds", []string{"cups", "disc"}, []string{"cups"}, []string{"cups", "disc", "tray"}, []string{"cups", "tray"}},
		{"one removes everything, one adds", []string{"cups"}, nil, []string{"cups", "tray"}, []string{"tray"}},
		{"two lines changed", []string{"cups", "disc"}, []string{"3 cups", "disc"}, []string{"cups", "wooden disc"}, []string{"3 cups", "wooden disc"}},
		{"changed and added behind", []string{"cups"}, []string{"3 cups"}, []string{"cups", "tray"}, []string{"3 cups", "tray"}},
		{"changed by one, removed by the other", []string{"cups", "disc"}, []string{"3 cups", "disc"}, []string{"disc"}, []string{"3 cups", "disc"}},
		{"one line, twice", []string{"cups"}, []string{"3 cups"}, []string{"2 cups"}, nil},
		{"moved by one, added to by the other", []string{"cups", "disc"}, []string{"disc", "cups"}, []string{"cups", "disc", "tray"}, []string{"disc", "cups", "tray"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			states := [3]program.Document{base(), base(), base()}
			for i, texts := range [][]string{c.base, c.mine, c.theirs} {
				set(texts...)(&states[i])
			}
			got, conflicts := merged(t, states[0], states[1], states[2])
			if c.want == nil {
				if len(conflicts) != 1 || conflicts[0].Field != "materials" || conflicts[0].Mine != "3 cups" || conflicts[0].Theirs != "2 cups" {
					t.Errorf("conflicts %v", conflicts)
				}
				return
			}
			if len(conflicts) > 0 {
				t.Errorf("conflicts %v", conflicts)
			}
			want := base()
			set(c.want...)(&want)
			if diff := cmp.Diff(*things(&want), *things(&got)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestHelpLevelsInOnePlaceConflict: the order of help levels must not be
// guessed.
func TestHelpLevelsInOnePlaceConflict(t *testing.T) {
	t.Parallel()
	mine, theirs := base(), base()
	mine.HelpLevels = append(mine.HelpLevels, program.HelpLevel{Name: "light touch", Touch: true})
	theirs.HelpLevels = append(theirs.HelpLevels, program.HelpLevel{Name: "show twice"})
	got, conflicts := merged(t, base(), mine, theirs)
	if len(conflicts) != 1 || conflicts[0].Field != "help_levels" || !cmp.Equal(got.HelpLevels, mine.HelpLevels) {
		t.Errorf("%v, %v", got.HelpLevels, conflicts)
	}
	theirs = base()
	theirs.HelpLevels = slices.Insert(theirs.HelpLevels, 0, program.HelpLevel{Name: "look"})
	if got, conflicts = merged(t, base(), mine, theirs); len(conflicts) > 0 || len(got.HelpLevels) != 4 || got.HelpLevels[0].Name != "look" || !got.HelpLevels[3].Touch {
		t.Errorf("%v, %v", got.HelpLevels, conflicts)
	}
}

// Each moves another one of two equal lines. Both meant to keep two.
func TestMovedTwiceIsNotLost(t *testing.T) {
	t.Parallel()
	base := []string{"cups", "mat", "cups", "disc"}
	got, both := mergeLines(base, []string{"cups", "disc", "cups"}, []string{"mat", "cups", "cups"}, false)
	if both || count(got, "cups") != 2 {
		t.Errorf("got %q, %v, want two cups", got, both)
	}
}

func TestMergeOfLinesProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		list := func(name string) []string {
			return rapid.SliceOfN(rapid.SampledFrom([]string{"cups", "disc", "tray", "mat", "card"}), 0, 6).Draw(t, name)
		}
		// Both with edited versions of one base, and with any three lists.
		b := list("base")
		x, y := editedLines(t, b, "mine"), editedLines(t, b, "theirs")
		if rapid.Bool().Draw(t, "unlike") {
			x, y = list("mine"), list("theirs")
		}
		one, both := mergeLines(b, x, y, false)
		other, turned := mergeLines(b, y, x, false)
		if both != turned || !slices.Equal(one, other) {
			t.Fatalf("it depends on who merges: %q %v, %q %v", one, both, other, turned)
		}
		if same, asked := mergeLines(b, x, b, false); asked || !slices.Equal(same, x) {
			t.Fatalf("only mine: %q %v, want %q", same, asked, x)
		}
		if same, asked := mergeLines(b, x, x, false); asked || !slices.Equal(same, x) {
			t.Fatalf("both alike: %q %v, want %q", same, asked, x)
		}
		if both {
			return
		}
		for _, made := range [][]string{x, y} {
			for _, line := range made {
				if count(made, line) > count(b, line) && count(one, line) == 0 {
					t.Fatalf("%q is lost: %q", line, one)
				}
			}
		}
		for _, line := range b {
			if count(x, line) >= count(b, line) && count(y, line) >= count(b, line) && count(one, line) < count(b, line) {
				t.Fatalf("no one removed %q from %q: %q", line, b, one)
			}
		}
		for _, line := range one {
			if count(x, line)+count(y, line) == 0 {
				t.Fatalf("neither side has %q: %q", line, one)
			}
		}
	})
}

func count(list []string, line string) int {
	n := 0
	for _, l := range list {
		if l == line {
			n++
		}
	}
	return n
}

// editedLines returns the list after random edits by an author whose lines are
// unlike anyone else's.
func editedLines(t *rapid.T, from []string, who string) []string {
	list := slices.Clone(from)
	for n := range rapid.IntRange(0, 3).Draw(t, who+" deeds") {
		at := rapid.IntRange(0, len(list)).Draw(t, who+" at")
		switch deed := rapid.IntRange(0, 2).Draw(t, who+" deed"); {
		case deed == 0 || at == len(list):
			list = slices.Insert(list, at, who+strconv.Itoa(n))
		case deed == 1:
			list = slices.Delete(list, at, at+1)
		default:
			list[at] += who
		}
	}
	return list
}
