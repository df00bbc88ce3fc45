package compute

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"newel/internal/strict"
)

// list joins n numbers made by number as a JSON list.
func list(n int, number func(i int) string) string {
	out := make([]string, n)
	for i := range out {
		out[i] = number(i)
	}
	return "[" + strings.Join(out, ",") + "]"
}

// digits17 makes numbers of 17 digits with exponents from low to high.
func digits17(low, high int) func(int) string {
	r := rand.New(rand.NewPCG(1, 2))
	return func(int) string {
		return fmt.Sprintf("%d.%016de%d", 1+r.IntN(9), r.Int64N(1e16), low+r.IntN(high-low+1))
	}
}

func same(number string) func(int) string { return func(int) string { return number } }

// TestHardInputs checks that the largest and most awkward input of each kind is
// answered, and that what exceeds a limit is refused with an error that names
// the field and the limit. Before there were limits, most of these took from ten
// seconds to hours; go test would not end.
func TestHardInputs(t *testing.T) {
	t.Parallel()
	awkward, tiny := digits17(-15, 3), digits17(-380, -100)
	days := func(i int) string { return fmt.Sprint(i) }
	seconds := func(i int) string { return fmt.Sprintf("%d.%06d", (i*7919)%99_991, (i*104_729)%1_000_000) }
	for _, c := range []struct{ name, kind, in, field, limit string }{
		{"2,000 values of 17 digits", "trend", `{"y": ` + list(2000, awkward) + `}`, "", ""},
		{"one value too many", "trend", `{"y": ` + list(2001, same("1")) + `}`, "y", "2000"},
		{"exponents to e-380", "trend", `{"y": ` + list(2000, tiny) + `}`, "y[0]", "40 digits"},
		{"41 digits", "trend", `{"y": [1, 1e40]}`, "y[1]", "40 digits"},
		{"a line of 2,000 equal values", "trend", `{"y": ` + list(2000, same("0.1234567890123456789")) + `}`, "", ""},
		{"17 digits in both phases", "effect", `{"improvement": "up", "a": ` + list(2000, awkward) + `, "b": ` + list(2000, awkward) + `}`, "", ""},
		{"one value too many in a", "effect", `{"improvement": "up", "b": [1], "a": ` + list(2001, same("1")) + `}`, "a", "2000"},
		{"2,000 days", "celeration", `{"days": ` + list(2000, days) + `, "counts_per_minute": ` + list(2000, awkward) + `}`, "", ""},
		{"one day too many", "celeration", `{"days": ` + list(2001, days) + `, "counts_per_minute": ` + list(2001, same("1")) + `}`, "days", "2000"},
		{"unrelated durations", "agreement", `{"kind": "durations", "first": ` + list(5000, seconds) + `, "second": ` + list(5000, func(i int) string { return seconds(i + 1) }) + `}`, "", ""},
		{"100,000 durations", "agreement", `{"kind": "durations", "first": ` + list(100_000, same("1")) + `, "second": ` + list(100_000, same("1")) + `}`, "first", "5000"},
		{"durations of seven places", "agreement", `{"kind": "durations", "first": [1.0000001], "second": [1]}`, "first[0]", "six decimal places"},
		{"a duration of over a week", "agreement", `{"kind": "durations", "first": [1], "second": [604800.1]}`, "second[0]", "604800"},
		{"durations of e-380", "agreement", `{"kind": "durations", "first": [1e-380], "second": [1]}`, "first[0]", "40 digits"},
		{"unrelated counts", "agreement", `{"kind": "counts", "first": ` + list(100_000, func(i int) string { return fmt.Sprint(i % 10_001) }) + `, "second": ` + list(100_000, func(i int) string { return fmt.Sprint(i * 7 % 9973) }) + `}`, "", ""},
		{"a large count", "agreement", `{"kind": "counts", "first": [1], "second": [10001]}`, "second[0]", "10000"},
		{"100,000 durations of one session", "evaluate", session(list(100_000, awkward)), "", ""},
		{"durations of one session to e-380", "evaluate", session(list(2, tiny)), "sessions[0].durations_s[0]", "40 digits"},
		{"1,000 items in each of 100 sessions", "preference", `{"kind": "multiple", "items": ` + list(1000, quoted) + `, "sessions": ` + list(100, func(int) string { return list(1000, quoted) }) + `}`, "", ""},
		{"too many sessions", "preference", `{"kind": "multiple", "items": ["a"], "sessions": ` + list(1001, same("[]")) + `}`, "sessions", "1000"},
		{"too many choices", "preference", `{"kind": "paired", "items": ["a", "b"], "choices": ` + list(100_001, same(`{"of": ["a", "b"], "chosen": ""}`)) + `}`, "choices", "100000"},
		{"positions that cannot alternate", "order", `{"targets": ` + list(33, quoted) + `, "trials": 999, "rule": "rotation", "positions": 3, "max_same": 1, "seed": 3}`, "max_same", "allow 2"},
		{"two positions that cannot alternate", "order", `{"targets": ` + list(5, quoted) + `, "trials": 1000, "rule": "rotation", "positions": 2, "max_same": 1, "seed": 3}`, "max_same", "allow 2"},
		{"10,000 sessions", "odds", `{"criterion": "80% in 9 of the last 14 sessions", "trials": 10, "accuracy": [0.5], "sessions": [10000]}`, "", ""},
		{"10,000 sessions for two accuracies", "odds", `{"criterion": "80% in 9 of the last 14 sessions", "trials": 10, "accuracy": [0.5, 0.6], "sessions": [5, 10000]}`, "sessions[1]", "at most 5000"},
		{"too many accuracies", "odds", `{"criterion": "80% in 3 sessions", "trials": 10, "accuracy": ` + list(1001, same("0.5")) + `, "sessions": [5]}`, "accuracy", "1000"},
	} {
		t.Run(c.kind+" "+c.name, func(t *testing.T) {
			t.Parallel()
			kind, _ := Find(c.kind)
			_, err := kind.Answer([]byte(c.in))
			var refused *strict.Error
			switch {
			case c.field == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.field == "":
			case !errors.As(err, &refused):
				t.Errorf("not refused: %v", err)
			case refused.Path != c.field || !strings.Contains(err.Error(), c.limit):
				t.Errorf("refused with %q; want %s to be named, with %q", err, c.field, c.limit)
			}
		})
	}
}

func quoted(i int) string { return fmt.Sprintf("%q", fmt.Sprint("item ", i)) }

func session(durations string) string {
	return `{"as_of": "2026-03-10T09:00:00Z", "time_zone": "UTC", "criterion": "12 minutes in total in 3 sessions in a row", "sessions": [` +
		`{"id": "s1", "started_at": "2026-03-09T08:00:00Z", "ended_at": "2026-03-09T08:05:00Z", "durations_s": ` + durations + `}]}`
}
