package say

import (
	"strings"
	"testing"
	"time"
)

func TestWhenIn(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 10, 23, 30, 0, 0, time.UTC)
	for zone, want := range map[string][]string{
		"Asia/Kuala_Lumpur":   {"11", "07:30", "Kuala Lumpur"}, // the next day there
		"America/Los_Angeles": {"10", "16:30", "Los Angeles"},
		"not a zone":          {"10", "23:30", "UTC"},
	} {
		got := whenIn(inEnglish(t), at, zone)
		for _, part := range want {
			if !strings.Contains(got, part) {
				t.Errorf("in %s: %q does not say %q", zone, got, part)
			}
		}
	}
}
