package compute

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"newel/internal/compute/answer"
)

// worked is one worked case of the 2.2 rules, computed by an independent
// implementation. Want has only the fields that the case is about.
type worked struct {
	Name  string                     `json:"name"`
	Why   string                     `json:"why"`
	Input json.RawMessage            `json:"input"`
	Want  map[string]json.RawMessage `json:"want"`
}

func workedCases(t *testing.T) []worked {
	t.Helper()
	b, err := os.ReadFile("testdata/evaluate.ndjson")
	if err != nil {
		t.Fatal(err)
	}
	var cases []worked
	lines := bufio.NewScanner(bytes.NewReader(b))
	lines.Buffer(nil, len(b))
	for lines.Scan() {
		var c worked
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		cases = append(cases, c)
	}
	return cases
}

// TestWorkedCases compares flags, progress, evidence and totals with the worked
// cases. Probabilities are stated to 1e-6.
func TestWorkedCases(t *testing.T) {
	t.Parallel()
	cases := workedCases(t)
	if len(cases) != 53 {
		t.Fatalf("%d cases, want 53", len(cases))
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			var out bytes.Buffer
			if err := answer.One(bytes.NewReader(c.Input), &out, evaluate); err != nil {
				t.Fatal(err)
			}
			var got map[string]json.RawMessage
			if err := json.Unmarshal(out.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			for field, want := range c.Want {
				if diff := cmp.Diff(decoded(t, want), decoded(t, got[field]), cmpopts.EquateApprox(0, 1e-6)); diff != "" {
					t.Errorf("%s (%s): %s", field, c.Why, diff)
				}
			}
		})
	}
}

func decoded(t *testing.T, raw json.RawMessage) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatalf("%s: %v", raw, err)
	}
	return v
}
