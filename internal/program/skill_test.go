package program

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSkillsInASheet(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	first := d.StepTitle(d.Strands[0].Steps[0].Key)
	sheet := d.Sheet()
	sheet.Fields["needs"] = " waits a minute \n\nstands (on a stool)"
	sheet.Fields["teaches"] = "washes hands (" + first + ")\ndries hands\ngreets (a neighbour)"
	after := sheet.Document()
	want := []TaughtSkill{{Skill: "washes hands", Step: d.Strands[0].Steps[0].Key}, {Skill: "dries hands"}, {Skill: "greets (a neighbour)"}}
	if diff := cmp.Diff(want, after.Teaches); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"waits a minute", "stands (on a stool)"}, after.Needs); diff != "" {
		t.Error(diff)
	}
	again := after.Sheet().Document()
	if diff := cmp.Diff(after.Teaches, again.Teaches); diff != "" {
		t.Error("as it was written:", diff)
	}
}

// TestASkillOutlivesItsStep: a skill acquired at a removed step is acquired at
// the end of the program; at a split step, at the last part.
func TestASkillOutlivesItsStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		do   func(*Document, string) string
	}{
		{"removed", func(d *Document, key string) string { d.RemoveStep(key); return "" }},
		{"split", func(d *Document, key string) string { return d.SplitStep(key, 3)[2] }},
		{"moved", func(d *Document, key string) string { d.MoveStep(key, 1); return key }},
	} {
		d := twoStrands()
		key := d.Strands[0].Steps[0].Key
		d.Teaches = []TaughtSkill{{Skill: "washes", Step: key}, {Skill: "dries"}}
		want := c.do(&d, key)
		if d.Teaches[0].Step != want || d.Teaches[1].Step != "" {
			t.Errorf("%s: %+v, want %q", c.name, d.Teaches, want)
		}
	}
}

func TestChecksOfSkills(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		change     func(*Document)
		field, key string // empty if nothing is found
	}{
		{func(d *Document) { d.Needs, d.Teaches = []string{"a"}, []TaughtSkill{{Skill: "b"}} }, "", ""},
		{func(d *Document) { d.Needs = []string{"Waits a minute", "waits  a minute"} }, "needs", "program.skill_twice"},
		{func(d *Document) { d.Teaches = []TaughtSkill{{Skill: "a"}, {Skill: "A"}} }, "teaches", "program.skill_twice"},
		{func(d *Document) { d.Teaches = []TaughtSkill{{Skill: "a", Step: "gone"}} }, "teaches", "program.skill_step"},
		{func(d *Document) { d.Needs = []string{""} }, "needs", "field.required"},
		{func(d *Document) { d.Teaches = []TaughtSkill{{Skill: "two\nlines"}} }, "teaches", "field.one_line"},
	} {
		d := sound()
		c.change(&d)
		var field, key string
		if findings := d.Check(); len(findings) > 0 {
			field, key = findings[0].Field, findings[0].Key
		}
		if field != c.field || key != c.key {
			t.Errorf("%s %s, want %s %s", field, key, c.field, c.key)
		}
	}
}

func TestStepsThatAcquireASkill(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	last := d.LastSteps()
	if len(last) != 2 {
		t.Fatal(last)
	}
	if diff := cmp.Diff(last, TaughtSkill{Skill: "a"}.ReachedAt(last)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"x"}, TaughtSkill{Skill: "a", Step: "x"}.ReachedAt(last)); diff != "" {
		t.Error(diff)
	}
}
