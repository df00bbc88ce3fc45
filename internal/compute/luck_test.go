package compute

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"newel/internal/criterion"
	"newel/internal/strict"
)

// TestLuckCases checks the worked cases. Probabilities are stated to more
// digits than they are shown with; they may differ by 1e-9.
func TestLuckCases(t *testing.T) {
	t.Parallel()
	file, err := os.ReadFile("testdata/luck.ndjson")
	if err != nil {
		t.Fatal(err)
	}
	lines := bytes.Split(bytes.TrimSpace(file), []byte("\n"))
	if len(lines) != 4 {
		t.Errorf("%d cases", len(lines))
	}
	for _, line := range lines {
		var c struct {
			Name  string
			Input json.RawMessage
			Want  criterion.LuckAnswer
		}
		if err := json.Unmarshal(line, &c); err != nil {
			t.Fatal(err)
		}
		got, err := luck(c.Input)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		near := cmp.Options{cmpopts.EquateApprox(0, 1e-9), cmp.Comparer(func(a, b criterion.LuckRow) bool {
			return a.Percent.Equal(b.Percent) && cmp.Equal(a.Within10, b.Within10, cmpopts.EquateApprox(0, 1e-9)) &&
				cmp.Equal(a.Within20, b.Within20, cmpopts.EquateApprox(0, 1e-9))
		})}
		if diff := cmp.Diff(c.Want, got, near); diff != "" {
			t.Errorf("%s: %s", c.Name, diff)
		}
	}
}

// TestLuckErrors checks that errors name the field, as those of odds do.
func TestLuckErrors(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		`{"criterion": "80% in 3 sessions"}`:                                             "trials",
		`{"trials": 5}`:                                                                  "criterion",
		`{"criterion": "good", "trials": 5}`:                                             "criterion",
		`{"criterion": "80% in 3 sessions", "trials": 0}`:                                "trials",
		`{"criterion": "80% in 3 sessions", "trials": 5, "accuracy": [0.5]}`:             "accuracy",
		`{"criterion": "80% in 3 sessions, and 2 errors", "trials": 5}`:                  "criterion",
		`{"criterion": "80% in 3 sessions, each target", "trials": 5}`:                   "criterion",
		`{"criterion": "80% in 3 sessions", "trials": 5, "help_levels": ["show", ""]}`:   "help_levels[1]",
		`{"criterion": "80% with help up to show in 3 sessions", "trials": 5}`:           "criterion",
		`{"criterion": "3 errors in 3 sessions", "trials": 5, "help_levels": ["shout"]}`: "criterion",
	} {
		_, err := luck([]byte(in))
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != want {
			t.Errorf("%s: %v, want it at %s", in, err, want)
		}
	}
}
