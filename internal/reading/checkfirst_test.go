package reading_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

// TestCheckFirstReportsRequiredSkills checks that a skill is found by
// any of its names in any spelling, and that a skill without evidence has no
// status.
func TestCheckFirstReportsRequiredSkills(t *testing.T) {
	t.Parallel()
	item := reading.CaseloadItem{Detail: program.CaseloadDetail{
		Needs:  []string{"Waits  A minute", "takes turns"},
		Skills: map[string]newel.SkillStatus{"waits a minute": newel.SkillEmerging, "waits 60 s": newel.SkillEmerging},
	}}
	want := []reading.NeededSkill{{Name: "Waits  A minute", Status: newel.SkillEmerging}, {Name: "takes turns"}}
	if diff := cmp.Diff(want, item.CheckFirst().Needs); diff != "" {
		t.Error(diff)
	}
}
