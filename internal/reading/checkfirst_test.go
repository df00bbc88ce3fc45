package reading_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

// TestCheckFirstSaysWhichNeededSkillsAreThere: a skill is found by any of its
// names, however it is written; one without a note is said to have none.
func TestCheckFirstSaysWhichNeededSkillsAreThere(t *testing.T) {
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
