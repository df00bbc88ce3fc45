package say

import (
	"strings"
	"testing"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
)

// TestIdleRowLeadsToThePlacement: the row of an idle family is headed by the
// family; what can be done from it concerns the placement.
func TestIdleRowLeadsToThePlacement(t *testing.T) {
	t.Parallel()
	messages, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	i := reading.CaseloadItem{CaseloadRow: newel.CaseloadRow{
		PlacementID: newel.NewID[newel.PlacementID](), FamilyID: newel.NewID[newel.FamilyID](), State: newel.AssignmentActive,
	}}
	row := askRow(messages.Printer("en"), reading.GroupIdle, i, true)
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
