package demo

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/app"
)

// compareSkills checks that the proposals follow from the series (met at G3, W5
// and K3) and that each suggested order follows from the recorded evidence.
func compareSkills(ctx context.Context, t *testing.T, a *app.App) {
	t.Helper()
	who := lead(ctx, t, a)
	c, err := a.Families(ctx, who)
	if err != nil {
		t.Fatal(err)
	}
	proposed, first := map[string][]string{}, map[string]string{}
	for _, f := range c {
		for _, l := range f.Learners {
			v, err := a.LearnerSkills(ctx, who, l.ID)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range v.Proposed {
				proposed[l.Nickname] = append(proposed[l.Nickname], p.Skill.Name+" at "+p.On.Step)
			}
			if len(v.Order) > 0 {
				first[l.Nickname] = v.Order[0].Program.Title
			}
		}
	}
	if diff := cmp.Diff(map[string][]string{"Teo": {"plays pairs to the end at G3", "waits a minute at W5"}, "Rami": {"asks for a break at K3"}}, proposed); diff != "" {
		t.Error(diff)
	}
	// Memory pairs leads to Fine either way; the rest lead to nothing else.
	if first["Teo"] != "Memory pairs" || first["Rami"] != "Asking for a break" || first["Dayo"] != "Two-step directions" {
		t.Errorf("suggested first: %v", first)
	}
}
