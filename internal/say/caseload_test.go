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

// TestIdleRowLinksToThePlacement checks that an idle family's row has the
// family as its title and that its actions concern the placement.
func TestIdleRowLinksToThePlacement(t *testing.T) {
	t.Parallel()
	i := reading.CaseloadItem{CaseloadRow: newel.CaseloadRow{
		PlacementID: newel.NewID[newel.PlacementID](), FamilyID: newel.NewID[newel.FamilyID](), State: newel.AssignmentActive,
	}}
	row := askRow(inEnglish(t), reading.GroupIdle, i, true)
	if want := href.Family.To(i.FamilyID); row.Href != want {
		t.Errorf("the row links to %s, want %s", row.Href, want)
	}
	led := 0
	for _, act := range row.Decide.Acts {
		if act.Href == "" {
			continue
		}
		led++
		if !strings.HasPrefix(act.Href, href.Placement.To(i.PlacementID)) {
			t.Errorf("%s links to %s, which does not belong to the placement", act.Label, act.Href)
		}
	}
	if led == 0 {
		t.Error("no action of the row has a link")
	}
}

// TestOnlyAnAgreedAdvanceIsSolid checks that, of all actions of a row, only an
// advance by the agreed criterion is emphasized.
func TestOnlyAnAgreedAdvanceIsSolid(t *testing.T) {
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
			t.Errorf("%s: %q are solid, want %q", g, solid, want)
		}
	}
}
