package say

import (
	"slices"
	"strings"
	"testing"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/reading"
)

// TestIdleRowLeadsToThePlacement: the row of an idle family is headed by the
// family; what can be done from it concerns the placement.
func TestIdleRowLeadsToThePlacement(t *testing.T) {
	t.Parallel()
	i := reading.CaseloadItem{CaseloadRow: newel.CaseloadRow{
		PlacementID: newel.NewID[newel.PlacementID](), FamilyID: newel.NewID[newel.FamilyID](), State: newel.AssignmentActive,
	}}
	row := askRow(inEnglish(t), reading.GroupIdle, i, true)
	if want := href.Family.To(i.FamilyID); row.Href != want {
		t.Errorf("the row leads to %s, want %s", row.Href, want)
	}
	led := 0
	for _, act := range row.Decide.Acts {
		if act.Href == "" {
			continue
		}
		led++
		if !strings.HasPrefix(act.Href, href.Placement.To(i.PlacementID)) {
			t.Errorf("%s leads to %s, which is not of the placement", act.Label, act.Href)
		}
	}
	if led == 0 {
		t.Error("no act of the row leads anywhere")
	}
}

// TestOnlyTheAgreedStepIsSolid: of all that can be decided from a row, only an
// advance by the agreed criterion stands out.
func TestOnlyTheAgreedStepIsSolid(t *testing.T) {
	t.Parallel()
	p := inEnglish(t)
	for _, g := range reading.Groups {
		i := reading.CaseloadItem{CaseloadRow: newel.CaseloadRow{PlacementID: newel.NewID[newel.PlacementID](), State: newel.AssignmentActive}}
		i.Said.Status = criterion.StatusUnderWay
		if g == reading.GroupMet {
			i.Said.Status = criterion.StatusMet
		}
		var solid []string
		for _, act := range rowActs(p, g, i) {
			if act.Solid {
				solid = append(solid, act.Value)
			}
		}
		var want []string
		if g == reading.GroupMet {
			want = []string{string(newel.DecisionAdvance)}
		}
		if !slices.Equal(solid, want) {
			t.Errorf("%s: %q stand out, want %q", g, solid, want)
		}
	}
}
