package observation

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/compute/answer"
	"newel/internal/strict"
)

// TestSamplingProperties checks that whole ≤ true ≤ partial, and that inverting
// the covered seconds swaps whole and partial.
func TestSamplingProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		interval := rapid.Int64Range(1, 12).Draw(t, "interval")
		length := interval * rapid.Int64Range(1, 10).Draw(t, "intervals")
		var bouts []Bout
		for range rapid.IntRange(0, 5).Draw(t, "bouts") {
			from := rapid.Int64Range(0, length).Draw(t, "from")
			bouts = append(bouts, Bout{from, rapid.Int64Range(from, length).Draw(t, "to")})
		}
		whole, partial := Sample(bouts, length, interval, Whole), Sample(bouts, length, interval, Partial)
		const slack = 1e-9
		if *whole.Percent > *whole.TruePercent+slack || *partial.Percent < *partial.TruePercent-slack {
			t.Fatalf("whole %v, true %v, partial %v", *whole.Percent, *whole.TruePercent, *partial.Percent)
		}
		var rest []Bout
		for s, covered := range coveredSeconds(bouts, length) {
			if !covered {
				rest = append(rest, Bout{int64(s), int64(s) + 1})
			}
		}
		turned := Sample(rest, length, interval, Partial)
		momentary, other := Sample(bouts, length, interval, Momentary), Sample(rest, length, interval, Momentary)
		if turned.Scored != whole.Of-whole.Scored || other.Scored != momentary.Of-momentary.Scored {
			t.Fatalf("turned round: %+v of %+v", turned, whole)
		}
	})
}

// TestSamplingByHand samples one observation each way: seconds 3–17 and 42–46 of
// a minute, in intervals of ten seconds.
func TestSamplingByHand(t *testing.T) {
	t.Parallel()
	for how, want := range map[Sampling]int{Partial: 3, Whole: 0, Momentary: 1} {
		got := Sample([]Bout{{3, 18}, {42, 47}}, 60, 10, how)
		if got.Scored != want || got.Of != 6 || *got.TruePercent != 100.0/3 {
			t.Errorf("%s: %+v, want %d of 6", how, got, want)
		}
	}
	if got := Sample([]Bout{{0, 10}}, 20, 10, Whole); got.Scored != 1 {
		t.Errorf("a filled interval: %+v", got)
	}
}

// TestSamplingLimits checks that the smallest and the largest observation are
// sampled, and that a bout may start and end with it, or be empty.
func TestSamplingLimits(t *testing.T) {
	t.Parallel()
	bouts := func(n int) string { return "[" + strings.TrimSuffix(strings.Repeat("[0,1],", n), ",") + "]" }
	for _, c := range []struct {
		bouts            string
		length, interval int
		path             string
	}{
		{"[]", 1, 1, ""},
		{"[]", 604_800, 604_800, ""}, // seven days
		{"[]", 604_801, 604_801, "length_s"},
		{"[[0, 10]]", 10, 5, ""},
		{"[[0, 0], [10, 10]]", 10, 5, ""},
		{"[[-1, 2]]", 10, 5, "bouts[0]"},
		{bouts(maxCompared), 10, 5, ""},
		{bouts(maxCompared + 1), 10, 5, "bouts"},
	} {
		in := fmt.Sprintf(`{"bouts": %s, "length_s": %d, "interval_s": %d, "method": "partial"}`, c.bouts, c.length, c.interval)
		_, err := ComputeSampling([]byte(in))
		refusedAt(t, in, err, c.path)
	}
}

// refusedAt fails unless err names the path, or is nil for an empty one.
func refusedAt(t *testing.T, in string, err error, path string) {
	t.Helper()
	var wrong *strict.Error
	if path == "" && err != nil || path != "" && (!errors.As(err, &wrong) || wrong.Path != path) {
		t.Errorf("%.80s: %v, want an error about %q", in, err, path)
	}
}

// TestRecordLimits checks counts and durations at and beyond their limits.
func TestRecordLimits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ kind, item, path string }{
		{"counts", "0", ""},
		{"counts", "10000", ""},
		{"counts", "10001", "first[0]"},
		{"durations", "0", ""},
		{"durations", "604800", ""}, // seven days
		{"durations", "604800.000001", "first[0]"},
		{"durations", "0.000001", ""},
		{"durations", "0.0000001", "first[0]"},
	} {
		in := fmt.Sprintf(`{"kind": %q, "first": [%s], "second": []}`, c.kind, c.item)
		_, err := ComputeAgreement([]byte(in))
		refusedAt(t, in, err, c.path)
	}
}

func TestComputeErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		compute  answer.Computation
		in, path string
	}{
		{ComputeAgreement, `{"first": [], "second": []}`, "kind"},
		{ComputeAgreement, `{"kind": "colours", "first": [], "second": []}`, "kind"},
		{ComputeAgreement, `{"kind": 1, "first": [], "second": []}`, "kind"},
		{ComputeAgreement, `{"kind": "counts", "second": []}`, "first"},
		{ComputeAgreement, `{"kind": "counts", "first": [1], "second": [], "second_afterwards": 1}`, "second_afterwards"},
		{ComputeAgreement, `{"kind": "trials", "first": [{"target": "cup"}], "second": []}`, "first[0]"},
		{ComputeAgreement, `{"kind": "trials", "first": [["+"]], "second": []}`, "first[0]"},
		{ComputeAgreement, `{"kind": "trials", "first": [{"code": 1}], "second": []}`, "first[0].code"},
		{ComputeAgreement, `{"kind": "trials", "first": [{"code": "+", "at": 1}], "second": []}`, "first[0].at"},
		{ComputeAgreement, `{"kind": "trials", "first": [], "second": [{"code": "+", "at_s": "1"}]}`, "second[0].at_s"},
		{ComputeAgreement, `{"kind": "trials", "first": [{"code": "+", "key": ""}], "second": []}`, "first[0].key"},
		{ComputeAgreement, `{"kind": "trials", "first": [{"code": "+", "key": 1}, {"code": "+", "key": "1"}], "second": []}`, "first[1].key"},
		{ComputeAgreement, `{"kind": "counts", "first": [1.5], "second": [1]}`, "first[0]"},
		{ComputeAgreement, `{"kind": "counts", "first": [1], "second": [-1]}`, "second[0]"},
		{ComputeAgreement, `{"first": [true], "second": [1], "kind": "intervals"}`, "second[0]"},
		{ComputeAgreement, `{"kind": "trials", "first": ["+"], "second": [null]}`, "second[0]"},
		{ComputeAgreement, `{"kind": "durations", "first": [-0.1], "second": [1]}`, "first[0]"},
		{ComputeAgreement, `{"kind": "counts", "first": [1], "second": [1], "third": [1]}`, "third"},
		{ComputeSampling, `{"bouts": [[1]], "length_s": 10, "interval_s": 5, "method": "whole"}`, "bouts[0]"},
		{ComputeSampling, `{"bouts": [[3, 2]], "length_s": 10, "interval_s": 5, "method": "whole"}`, "bouts[0]"},
		{ComputeSampling, `{"bouts": [[3, 11]], "length_s": 10, "interval_s": 5, "method": "whole"}`, "bouts[0]"},
		{ComputeSampling, `{"bouts": [[0.5, 2]], "length_s": 10, "interval_s": 5, "method": "whole"}`, "bouts[0][0]"},
		{ComputeSampling, `{"bouts": [], "length_s": 0, "interval_s": 5, "method": "whole"}`, "length_s"},
		{ComputeSampling, `{"bouts": [], "length_s": 10, "interval_s": 4, "method": "whole"}`, "interval_s"},
		{ComputeSampling, `{"bouts": [], "length_s": 10, "interval_s": 0, "method": "whole"}`, "interval_s"},
		{ComputeSampling, `{"bouts": [], "length_s": 10, "interval_s": 5, "method": "half"}`, "method"},
		{ComputeSampling, `{"bouts": [], "length_s": 10, "method": "whole"}`, "interval_s"},
	} {
		_, err := c.compute([]byte(c.in))
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%s: %v, want an error about %q", c.in, err, c.path)
		}
	}
}

func fuzz(f *testing.F, compute answer.Computation) {
	f.Fuzz(func(t *testing.T, document []byte) {
		var out strings.Builder
		err := answer.One(strings.NewReader(string(document)), &out, compute)
		var wrong *strict.Error
		if err != nil && (!errors.As(err, &wrong) || err.Error() == "") {
			t.Fatalf("%#v", err)
		}
		if err == nil && !json.Valid([]byte(out.String())) {
			t.Fatalf("%s", out.String())
		}
	})
}

func FuzzAgreement(f *testing.F) {
	f.Add([]byte(`{"kind": "durations", "first": [1, 2.5], "second": [0, 1e-3]}`))
	f.Add([]byte(`{"kind": "durations", "first": [1, 2.5, 4e300], "second": [0, 1e-300]}`))
	f.Add([]byte(`{"kind": "trials", "first": ["+", {"code": "-", "target": "cup"}], "second": [{"code": "-", "at_s": -1e3, "key": 1}]}`))
	fuzz(f, ComputeAgreement)
}

func FuzzSampling(f *testing.F) {
	f.Add([]byte(`{"bouts": [[3, 4]], "length_s": 10, "interval_s": 5, "method": "momentary"}`))
	fuzz(f, ComputeSampling)
}
