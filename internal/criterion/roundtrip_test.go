package criterion_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/compute"
	"newel/internal/criterion"
)

// TestCaseRoundTrip checks that a case built in Go has the same reading after newel compute has
// decoded it.
func TestCaseRoundTrip(t *testing.T) {
	t.Parallel()
	evaluate, ok := compute.Find("evaluate")
	if !ok {
		t.Fatal("there is no such kind")
	}
	rapid.Check(t, func(t *rapid.T) {
		c := criterion.AnyCase().Draw(t, "case")
		want, err := criterion.Evaluate(c)
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		got, err := evaluate.Answer(b)
		if err != nil {
			t.Fatalf("%v in %s", err, b)
		}
		if diff := cmp.Diff(any(want), got); diff != "" {
			t.Fatal(diff)
		}
	})
}
