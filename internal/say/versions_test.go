package say

import (
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
)

// TestVersionsLinkToChanges checks that each version links to a comparison
// with the one before and the draft to one with the latest, and that only
// learners on an older version can be moved, and only by people who may assign.
func TestVersionsLinkToChanges(t *testing.T) {
	t.Parallel()
	id := newel.NewID[newel.ProgramID]()
	day := time.Date(2026, 3, 10, 9, 0, 0, 0, time.UTC)
	learner := func(number int) newel.ProgramLearner {
		return newel.ProgramLearner{Learner: "Wren", AssignmentID: newel.NewID[newel.AssignmentID](), PlacementID: newel.NewID[newel.PlacementID](), Number: number}
	}
	v := app.VersionsView{
		HasDraft: true,
		Versions: []program.VersionSummary{{Number: 3, PublishedAt: day}, {Number: 2, PublishedAt: day}, {Number: 1, PublishedAt: day}},
		Learners: []newel.ProgramLearner{learner(3), learner(1)},
	}
	supervisor := newel.Actor{Capacities: []newel.Capacity{newel.Supervisor}}
	m := VersionsPage(inEnglish(t), supervisor, id, v)
	if m.Draft == nil || m.Draft.Href != href.CompareStates(id, "3", app.DraftName) {
		t.Errorf("the draft's changes: %+v", m.Draft)
	}
	for n, want := range []string{href.CompareStates(id, "2", "3"), href.CompareStates(id, "1", "2"), ""} {
		got := ""
		if c := m.Entries[n].Changes; c != nil {
			got = c.Href
		}
		if got != want {
			t.Errorf("entry %d links to the changes %q, want %q", n, got, want)
		}
	}
	if move := m.Entries[0].Learners[0].Move; move != "" {
		t.Errorf("a learner on the latest version can be moved: %s", move)
	}
	if got, want := m.Entries[2].Learners[0].Move, href.AssignmentVersion.To(v.Learners[1].AssignmentID); got != want {
		t.Errorf("a learner on an old version: %q, want %q", got, want)
	}
	office := VersionsPage(inEnglish(t), newel.Actor{Capacities: []newel.Capacity{newel.Office}}, id, v)
	for _, e := range office.Entries {
		if len(e.Learners) > 0 {
			t.Error("the office sees who is taught by a version")
		}
	}
}
