package say

import (
	"slices"
	"testing"

	"newel/internal/newel"
)

// TestNavigation checks that people see only the sections that they can use.
func TestNavigation(t *testing.T) {
	t.Parallel()
	for capacity, want := range map[newel.Capacity][]string{
		newel.Administrator: {"families", "clinic"},
		newel.Supervisor:    {"caseload", "families", "library"},
		newel.Caregiver:     nil,
	} {
		var got []string
		for _, item := range Navigation(inEnglish(t), newel.Actor{Capacities: []newel.Capacity{capacity}}) {
			got = append(got, item.Key)
			if item.Label == "" || item.Href == "" {
				t.Errorf("%s: %+v", capacity, item)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s sees %q, want %q", capacity, got, want)
		}
	}
}
