package writing

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
)

func TestSkillsAgainstTheShelf(t *testing.T) {
	t.Parallel()
	own, memory, waiting := newel.NewID[newel.ProgramID](), newel.NewID[newel.ProgramID](), newel.NewID[newel.ProgramID]()
	listed := func(name string) newel.Skill {
		return newel.Skill{ID: newel.NewID[newel.SkillID](), Name: name, Names: []string{newel.FoldSkill(name)}}
	}
	list := []newel.Skill{listed("plays a game of pairs"), listed("waits a minute"), listed("stands on a stool"), listed("washes hands")}
	programs := []program.Skills{
		{ID: memory, Title: "Memory pairs", Needs: []string{"waits a minute"}, Teaches: []program.TaughtSkill{{Skill: "plays a game of pairs"}}},
		{ID: waiting, Title: "Waiting", Needs: []string{"Washes hands"}, Teaches: []program.TaughtSkill{{Skill: "waits a minute"}}},
	}
	for _, c := range []struct {
		name           string
		needs, teaches []string
		keys           []string       // of the advice about skills
		args           map[string]any // of the first
		fixed          string         // the field, after the first fix
	}{
		{"nothing is said", []string{"waits a minute"}, []string{"stands on a stool"}, nil, nil, ""},
		{
			"a circle",
			[]string{"plays a game of pairs", "stands on a stool"},
			[]string{"washes hands"},
			[]string{"check.skill_circle", "check.skill_untaught"},
			map[string]any{"programs": 3, "path": "Own → Memory pairs → Waiting → Own"},
			"stands on a stool",
		},
		{
			"what it teaches itself",
			[]string{"stands on a stool"},
			[]string{"Stands  on a Stool"},
			[]string{"check.skill_circle"},
			map[string]any{"programs": 1, "path": "Own → Own"},
			"",
		},
		{
			"an untaught skill with a similar name",
			[]string{"waits a minut"},
			nil,
			[]string{"check.skill_new", "check.skill_untaught"},
			map[string]any{"n": 1, "skills": "“waits a minut”"},
			"waits a minute",
		},
		{"new on the list", nil, []string{"swims"}, []string{"check.skill_new"}, map[string]any{"n": 1, "skills": "“swims”"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := sound()
			d.Title, d.Needs = "Own", c.needs
			for _, name := range c.teaches {
				d.Teaches = append(d.Teaches, program.TaughtSkill{Skill: name})
			}
			advice := Review(&d, Context{Program: own, Shelf: skill.NewShelf(list, programs)})
			var keys []string
			var fix *Fix
			for _, a := range advice {
				keys = append(keys, a.Key)
				if fix == nil {
					fix = a.Fix
				}
			}
			if diff := cmp.Diff(c.keys, keys); diff != "" {
				t.Fatal(diff)
			}
			if len(advice) > 0 {
				if diff := cmp.Diff(c.args, advice[0].Args); diff != "" {
					t.Error(diff)
				}
			}
			if fix != nil {
				if mended := fix.Apply(&d); mended.Sheet().Fields["needs"] != c.fixed {
					t.Errorf("mended: %q, want %q", mended.Sheet().Fields["needs"], c.fixed)
				}
			}
		})
	}
}
