package observation

import (
	"bufio"
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"newel/internal/compute/answer"
	"newel/internal/measure"
	"newel/internal/strict"
)

// workedCases are one JSON object per line: name, why, input and want.
//
//go:embed testdata/agreement.ndjson
var workedCases []byte

// agreementOf returns the answer of newel compute agreement as decoded JSON.
func agreementOf(t *testing.T, input string) map[string]any {
	t.Helper()
	var out bytes.Buffer
	if err := answer.One(strings.NewReader(input), &out, ComputeAgreement); err != nil {
		t.Fatalf("%s: %v", input, err)
	}
	var got map[string]any
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	return got
}

// TestWorkedAgreement checks the worked cases: all fields of the answer, and no
// others.
func TestWorkedAgreement(t *testing.T) {
	t.Parallel()
	lines, cases := bufio.NewScanner(bytes.NewReader(workedCases)), 0
	for lines.Scan() {
		cases++
		var c struct {
			Name  string
			Input json.RawMessage
			Want  map[string]any
		}
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.Want, agreementOf(t, string(c.Input)), cmpopts.EquateApprox(0, 1e-9)); diff != "" {
			t.Errorf("%s:\n%s", c.Name, diff)
		}
	}
	if cases != 12 {
		t.Errorf("%d cases, want 12", cases)
	}
}

// TestPairingOfTrials checks which trials become pairs, and by what.
func TestPairingOfTrials(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ first, second, pairs string }{
		"keys, in the order of the first, then what only the second has": {
			`[{"code":"+","key":3},{"code":"-","key":1},{"code":"+","key":9}]`, `[{"code":"+","key":4},{"code":"-","key":"1"},{"code":"+","key":3}]`,
			"[[0,2],[1,1],[2,null],[null,0]]",
		},
		"a key pairs whatever the target and the time": {
			`[{"code":"+","key":1,"target":"cup","at_s":0}]`, `[{"code":"+","key":1,"target":"spoon","at_s":500}]`, "[[0,0]]",
		},
		"one trial without a key: times": {
			`[{"code":"+","key":1,"at_s":0},{"code":"-","at_s":30}]`, `[{"code":"-","key":1,"at_s":30}]`, "[[0,null],[1,0]]",
		},
		"one trial without a time: order": {
			`[{"code":"+","at_s":0},{"code":"-"}]`, `[{"code":"-","at_s":500}]`, "[[0,null],[1,0]]",
		},
		"a missing target fits any": {
			`[{"code":"+","target":"cup","at_s":0},{"code":"+","at_s":60}]`, `[{"code":"+","at_s":1},{"code":"+","target":"spoon","at_s":61}]`, "[[0,0],[1,1]]",
		},
		"the smallest sum of differences": {
			`[{"code":"+","at_s":0},{"code":"+","at_s":8}]`, `[{"code":"-","at_s":7}]`, "[[0,null],[1,0]]",
		},
		"fewest left over before the smallest sum": {
			`[{"code":"+","at_s":0},{"code":"+","at_s":8}]`, `[{"code":"+","at_s":8},{"code":"+","at_s":17}]`, "[[0,0],[1,1]]",
		},
		"pairs never cross": {
			`[{"code":"+","target":"cup","at_s":0},{"code":"+","target":"spoon","at_s":1}]`, `[{"code":"+","target":"spoon","at_s":0},{"code":"+","target":"cup","at_s":1}]`,
			"[[0,null],[1,0],[null,1]]",
		},
		"the first of two that fit equally": {`["+","+"]`, `["+"]`, "[[0,0],[1,null]]"},
		"exact decimals: 0.7 − 0.4 is 0.4 − 0.1, which it is not in floating point": {
			`[{"code":"+","at_s":0.1},{"code":"+","at_s":0.7}]`, `[{"code":"+","at_s":0.4}]`, "[[0,0],[1,null]]",
		},
	} {
		got := agreementOf(t, fmt.Sprintf(`{"kind": "trials", "first": %s, "second": %s}`, c.first, c.second))
		if pairs, _ := json.Marshal(got["pairs"]); string(pairs) != c.pairs {
			t.Errorf("%s: %s, want %s", name, pairs, c.pairs)
		}
	}
}

// TestAgreementFromMemory checks that no kind has figures if either record was
// written afterwards, and that the input is still checked.
func TestAgreementFromMemory(t *testing.T) {
	t.Parallel()
	figures := map[string][]string{
		"trials": {"trial", "paired", "kappa"}, "intervals": {"interval", "scored", "unscored", "kappa"},
		"counts": {"total", "mean_per_interval", "exact_per_interval"}, "durations": {"total", "mean_per_occurrence"},
	}
	items := map[string]string{"trials": `["+"]`, "intervals": "[true]", "counts": "[1]", "durations": "[1.5]"}
	for kind, names := range figures {
		for _, which := range []string{"first", "second"} {
			want := map[string]any{"why": "afterwards", "unmatched_first": 0.0, "unmatched_second": 0.0}
			for _, n := range names {
				want[n] = nil
			}
			got := agreementOf(t, fmt.Sprintf(`{"kind": %q, "first": %s, "second": [], "%s_afterwards": true}`, kind, items[kind], which))
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%s, %s:\n%s", kind, which, diff)
			}
		}
	}
	if _, err := ComputeAgreement([]byte(`{"kind": "counts", "first": [1.5], "second": [], "first_afterwards": true}`)); err == nil {
		t.Error("a count of 1.5 is accepted if the record was written afterwards")
	}
}

// TestAgreementLimits checks that lists that must be aligned are refused if
// they are too long, and that those compared by number or key are not.
func TestAgreementLimits(t *testing.T) {
	t.Parallel()
	list := func(n int, item func(i int) string) string {
		parts := make([]string, n)
		for i := range parts {
			parts[i] = item(i)
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	always := func(item string) func(int) string { return func(int) string { return item } }
	key := func(i int) string { return fmt.Sprintf(`{"code":"+","key":%d}`, i) }
	most := measure.MaxAligned
	for name, c := range map[string]struct{ kind, first, second, refused string }{
		"codes by number":          {"trials", list(most+1, always(`"+"`)), list(most+1, always(`"+"`)), ""},
		"codes by order":           {"trials", list(most+1, always(`"+"`)), `["+"]`, "first"},
		"trials by key":            {"trials", list(most+1, key), list(2, key), ""},
		"trials by time":           {"trials", `[{"code":"+","at_s":1}]`, list(most+1, always(`{"code":"+","at_s":1}`)), "second"},
		"durations by number":      {"durations", list(most+1, always("1")), list(most+1, always("1")), ""},
		"durations of two lengths": {"durations", list(most+1, always("1")), "[1]", "first"},
		"intervals":                {"intervals", list(maxCompared, always("true")), "[]", ""},
		"too many intervals":       {"intervals", "[]", list(maxCompared+1, always("true")), "second"},
	} {
		_, err := ComputeAgreement([]byte(fmt.Sprintf(`{"kind": %q, "first": %s, "second": %s}`, c.kind, c.first, c.second)))
		var wrong *strict.Error
		switch {
		case c.refused == "":
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
		case !errors.As(err, &wrong) || wrong.Path != c.refused || !strings.Contains(err.Error(), "must have at most"):
			t.Errorf("%s: %v, want an error about %s that names the limit", name, err, c.refused)
		}
	}
}
