package reading

import (
	"encoding/json"
	"strings"
	"testing"

	"newel/internal/newel"
)

func TestSameReading(t *testing.T) {
	t.Parallel()
	const body = `{"status": "under_way", "met_by": null, "criterion": "80% independent in 3 sessions in a row", "run": {"have": 1, "need": 3},
		"lacking": [{"what": "sessions", "have": 1, "need": 3}], "flags": [{"kind": "distress", "sessions": ["s1"]}, {"kind": "flat", "sessions": ["s1"]}],
		"sessions": [{"id": "s1", "counted": true, "value": 80}], "estimate": {"correct": 8, "trials": 10, "percent": 80, "low": 49, "high": 94.5, "session": 0.7},
		"forecast": {"sessions": 10, "probability": 0.38, "even_chance_in": 25}, "idle_from": null, "progress": null,
		"targets": [{"target": "cup", "state": "taught", "flags": ["uneven", "one_side"], "estimate": null}]}`
	for _, c := range []struct {
		name, old, new   string
		alike, otherwise bool // whether it is still the same: by the same version, by an earlier one
	}{
		{"another spelling", `"have": 1, "need": 3}`, `"need":3,"have":1}`, true, true},
		{"a last digit", `"probability": 0.38`, `"probability": 0.3800004`, true, true},
		{"more than that", `"probability": 0.38`, `"probability": 0.380002`, false, false},
		{"a last digit of an interval", `"low": 49`, `"low": 49.0000004`, true, true},
		{"a last digit of a value", `"value": 80`, `"value": 80.0000001`, false, false},
		{"the run", `"run": {"have": 1`, `"run": {"have": 2`, false, false},
		{"who said no", `"distress", "sessions": ["s1"]`, `"distress", "sessions": ["s2"]`, false, false},
		{"a flag with changed rules", `{"kind": "flat", "sessions": ["s1"]}`, `{"kind": "uneven", "sessions": []}`, false, true},
		{"a target’s flag with changed rules", `"uneven", `, ``, false, true},
		{"another flag of a target", `"uneven", "one_side"`, `"uneven"`, false, false},
		{"a field of the newer version", `, "session": 0.7`, ``, false, true},
		{"what is null and what is not", `"met_by": null`, `"met_by": "s1"`, false, false},
	} {
		changed := strings.Replace(body, c.old, c.new, 1)
		if changed == body {
			t.Fatalf("%s: %s is not in the reading", c.name, c.old)
		}
		of := func(version int, body string) newel.Reading {
			return newel.Reading{Evaluator: version, Status: "under_way", Body: json.RawMessage(body)}
		}
		if got := SameReading(of(2, body), of(2, changed)); got != c.alike {
			t.Errorf("%s, by the same version: %v", c.name, got)
		}
		if got := SameReading(of(1, changed), of(2, body)); got != c.otherwise {
			t.Errorf("%s, by an earlier version: %v", c.name, got)
		}
	}
	stalled := newel.Reading{Evaluator: 1, Status: "stalled", Body: json.RawMessage(body)}
	under := newel.Reading{Evaluator: 2, Status: "under_way", Body: json.RawMessage(body)}
	if !SameReading(stalled, under) {
		t.Error("a status that other rules give differs")
	}
	if stalled.Status = "met"; SameReading(stalled, under) {
		t.Error("met and not met are the same")
	}
}
