package revision

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/program"
)

// TestSkillsAreMergedLineByLine: if two people each add a skill, both are kept,
// and graphs need no phase line.
func TestSkillsAreMergedLineByLine(t *testing.T) {
	t.Parallel()
	from := base()
	from.Needs, from.Teaches = []string{"waits"}, []program.TaughtSkill{{Skill: "washes", Step: "a1"}}
	mine, theirs := from.Clone(), from.Clone()
	mine.Needs, theirs.Needs = append(mine.Needs, "sits"), append(theirs.Needs, "stands")
	mine.Teaches, theirs.Teaches = append(mine.Teaches, program.TaughtSkill{Skill: "dries"}), append(theirs.Teaches, program.TaughtSkill{Skill: "rinses", Step: "a2"})
	got, conflicts := merged(t, from, mine, theirs)
	if len(conflicts) > 0 {
		t.Error(conflicts)
	}
	if len(got.Needs) != 3 || len(got.Teaches) != 3 || got.Needs[0] != "waits" {
		t.Errorf("%v, %v", got.Needs, got.Teaches)
	}
	c := compared(t, from, got)
	var fields []string
	for _, f := range c.Fields {
		fields = append(fields, f.Name)
	}
	if diff := cmp.Diff([]string{"needs", "teaches"}, fields); diff != "" || c.PhaseLine("a1") {
		t.Error("changes, without a phase line:", diff)
	}
}
