package revision

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/program"
)

func TestMerge(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name         string
		mine, theirs func(*program.Document)
		want         func(*program.Document) // what the merged document is, from the base
		conflicts    []Conflict
	}{
		{
			"two fields", func(d *program.Document) { d.Title = "Hands" }, func(d *program.Document) { d.Procedure.Say = "Hands!" },
			func(d *program.Document) { d.Title, d.Procedure.Say = "Hands", "Hands!" }, nil,
		},
		{
			"the same change", func(d *program.Document) { d.Title = "Hands" }, func(d *program.Document) { d.Title = "Hands" },
			func(d *program.Document) { d.Title = "Hands" }, nil,
		},
		{
			"one field, twice", func(d *program.Document) { d.Procedure.Say = "Go" }, func(d *program.Document) { d.Procedure.Say = "Hands!" },
			func(d *program.Document) { d.Procedure.Say = "Go" },
			[]Conflict{{Field: "say", Base: "Wash hands", Mine: "Go", Theirs: "Hands!"}},
		},
		{
			"fields of one step", func(d *program.Document) { d.Strands[0].Steps[0].Name = "Towel" }, func(d *program.Document) { d.Strands[0].Steps[0].Trials = 8 },
			func(d *program.Document) { s := &d.Strands[0].Steps[0]; s.Name, s.Trials = "Towel", 8 }, nil,
		},
		{
			"words in two languages", func(d *program.Document) { d.Procedure.SayIn["es"] = "Lávate" }, func(d *program.Document) { d.Procedure.SayIn["ms"] = "Cuci tangan" },
			func(d *program.Document) { d.Procedure.SayIn = program.Wordings{"es": "Lávate", "ms": "Cuci tangan"} }, nil,
		},
		{
			"targets of one step", func(d *program.Document) {
				s := &d.Strands[0].Steps[0]
				s.Targets = append(s.Targets, program.Target{Key: "m", Name: "cloth"})
			}, func(d *program.Document) { d.Strands[0].Steps[0].Targets[0].Name = "small towel" },
			func(d *program.Document) {
				d.Strands[0].Steps[0].Targets = []program.Target{{Key: "ta1", Name: "small towel"}, {Key: "m", Name: "cloth"}}
			}, nil,
		},
		{
			"moved by one, changed by the other", func(d *program.Document) { d.PlaceStep("a3", "b", "b1") }, func(d *program.Document) { d.Strands[0].Steps[2].Name = "Dry" },
			func(d *program.Document) { d.PlaceStep("a3", "b", "b1"); d.Strands[1].Steps[1].Name = "Dry" }, nil,
		},
		{
			"removed by one, changed by the other", func(d *program.Document) { d.RemoveStep("a2") }, func(d *program.Document) { d.Strands[0].Steps[1].Name = "Dry" },
			func(d *program.Document) { d.Strands[0].Steps[1].Name = "Dry" },
			[]Conflict{{Field: "steps.a2", Base: "Washer A2", Theirs: "Washer A2", MineGone: true}},
		},
		{
			"removed by one", func(d *program.Document) { d.Title = "Hands" }, func(d *program.Document) { d.RemoveStep("a2") },
			func(d *program.Document) { d.Title = "Hands"; d.RemoveStep("a2") }, nil,
		},
		{
			"a role removed by one, a step of it changed by the other", func(d *program.Document) { d.RemoveStrand("b") }, func(d *program.Document) { d.Strands[1].Steps[0].Name = "Dry" },
			func(d *program.Document) {
				d.RemoveStep("b2")
				d.Strands[1].Steps[0].Name = "Dry"
			},
			[]Conflict{
				{Field: "steps.b1", Base: "Helper B1", Theirs: "Helper B1", MineGone: true},
				{Field: "strands.b", Base: "Helper", Theirs: "Helper", MineGone: true},
			},
		},
		{
			"two orders", func(d *program.Document) { d.MoveStep("a3", -2) }, func(d *program.Document) { d.MoveStep("a1", 1) },
			func(d *program.Document) { d.MoveStep("a3", -2) },
			[]Conflict{{Field: "steps"}},
		},
		{
			"orders of two roles", func(d *program.Document) { d.MoveStep("a3", -2) }, func(d *program.Document) { d.MoveStep("b2", -1) },
			func(d *program.Document) { d.MoveStep("a3", -2); d.MoveStep("b2", -1) }, nil,
		},
		{
			"into two roles", func(d *program.Document) { d.PlaceStep("a3", "b", "") }, func(d *program.Document) {
				d.Strands = append(d.Strands, program.Strand{Key: "c"})
				d.PlaceStep("a3", "c", "")
			},
			func(d *program.Document) {
				d.PlaceStep("a3", "b", "")
				d.Strands = append(d.Strands, program.Strand{Key: "c"})
			},
			[]Conflict{{Field: "steps.a3", Base: "a", Mine: "b", Theirs: "c"}},
		},
		{
			"a flag that no form shows", func(d *program.Document) { d.Strands[0].Steps[0].Order.Rule = "massed" }, func(d *program.Document) { d.Strands[0].Steps[0].Order.Rule = "rotation" },
			func(d *program.Document) { d.Strands[0].Steps[0].Order.Rule = "massed" },
			[]Conflict{{Field: "steps.a1.order_rule", Mine: "massed", Theirs: "rotation"}},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			mine, theirs, want := base(), base(), base()
			c.mine(&mine)
			c.theirs(&theirs)
			c.want(&want)
			got, conflicts := merged(t, base(), mine, theirs)
			if diff := cmp.Diff(canonical(t, want), canonical(t, got)); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.conflicts, conflicts); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestMergeProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := base()
		x, y := edited(t, b, "x"), edited(t, b, "y")
		for name, three := range map[string][3]program.Document{
			"only mine": {b, x, b}, "only theirs": {b, b, x}, "both alike": {b, x, x},
		} {
			if got, conflicts := merged(t, three[0], three[1], three[2]); canonical(t, got) != canonical(t, x) || len(conflicts) > 0 {
				t.Fatalf("%s: %s, want %s; conflicts %v", name, shape(got), shape(x), conflicts)
			}
		}
		one, conflicts := merged(t, b, x, y)
		other, turned := merged(t, b, y, x)
		for i := range turned {
			c := &turned[i]
			c.Mine, c.Theirs, c.MineGone, c.TheirsGone = c.Theirs, c.Mine, c.TheirsGone, c.MineGone
		}
		if diff := cmp.Diff(conflicts, turned); diff != "" {
			t.Fatalf("conflicts depend on who merges: %s", diff)
		}
		if len(conflicts) == 0 && canonical(t, one) != canonical(t, other) {
			t.Fatalf("%s, or %s", shape(one), shape(other))
		}
		nothingLost(t, b, x, y, one)
	})
}

// nothingLost checks that added or changed steps are present.
func nothingLost(t *rapid.T, b, x, y, got program.Document) {
	seen := map[string]bool{}
	for _, s := range got.Strands {
		for _, step := range s.Steps {
			if seen[step.Key] {
				t.Fatalf("step %s appears twice in %s", step.Key, shape(got))
			}
			seen[step.Key] = true
		}
	}
	for _, d := range []program.Document{x, y} {
		for _, s := range d.Strands {
			for _, step := range s.Steps {
				_, old := b.Step(step.Key)
				if (old == nil || !cmp.Equal(*old, step)) && !seen[step.Key] {
					t.Fatalf("step %s is lost: %s", step.Key, shape(got))
				}
			}
		}
	}
}
