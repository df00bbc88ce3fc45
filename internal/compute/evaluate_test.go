package compute

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"newel/internal/compute/answer"
	"newel/internal/criterion"
	"newel/internal/strict"
)

const smallCase = `{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "100% in 1 session",
 "help_levels": ["model"], "rules": {"off": ["long"], "floor_percent": 3e1}, "pauses": [{"from": "2026-02-01", "to": "2026-02-10"}],
 "sessions": [{"id": "s1", "started_at": "2026-03-09T09:00:00+08:00", "ended_at": "2026-03-09T09:10:00+08:00", "kind": "probe",
  "trials": [{"outcome": "correct", "latency_s": 1.25, "choices": 3, "position": 2}], "count": 12, "observed_s": 300,
  "durations_s": [], "intervals": [true, false], "local_date": "2026-03-09"}]}`

func TestDecodeCase(t *testing.T) {
	t.Parallel()
	c, err := decodeCase([]byte(smallCase))
	if err != nil {
		t.Fatal(err)
	}
	s := c.Sessions[0]
	if s.Trials[0].LatencyS.String() != "1.25" || *s.Count != 12 || s.DurationsS == nil || len(s.Intervals) != 2 ||
		s.LocalDate != (criterion.Date{Year: 2026, Month: 3, Day: 9}) || c.Rules.FloorPercent.String() != "30" || s.Kind != criterion.Probe {
		t.Errorf("%+v", c)
	}
	if r, err := criterion.Evaluate(c); err != nil || r.Status != criterion.StatusMet {
		t.Errorf("%+v", r)
	}
}

// TestDecodeErrors changes one part of a valid case at a time.
func TestDecodeErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, new, want string }{
		{`"outcome": "correct"`, `"outcome": "right"`, `sessions[0].trials[0].outcome: "right" is not one of`},
		{`"outcome": "correct", `, ``, `sessions[0].trials[0].outcome: this field is required`},
		{`"outcome": "correct"`, `"outcome": null`, `sessions[0].trials[0].outcome: this field is required`},
		{`"outcome": "correct"`, `"outcome": 1`, `sessions[0].trials[0].outcome: must be a text, not a number`},
		{`"outcome"`, `"Outcome"`, `sessions[0].trials[0].Outcome: there is no such field`},
		{`"position": 2`, `"position": 4`, `sessions[0].trials[0].position: must be from 1`},
		{`"position": 2`, `"position": 0`, `sessions[0].trials[0].position: must be 1 or more`},
		{`"choices": 3`, `"choices": 2.5`, `sessions[0].trials[0].choices: must be a whole number`},
		{`"choices": 3`, `"choices": "3"`, `sessions[0].trials[0].choices: must be a number, not a text`},
		{`"choices": 3`, `"choices": 1`, `sessions[0].trials[0].choices: must be 2 or more`},
		{`"latency_s": 1.25`, `"latency_s": -1`, `sessions[0].trials[0].latency_s: must not be negative`},
		{`"latency_s": 1.25`, `"latency_s": 1e999`, `sessions[0].trials[0].latency_s: too long a number`},
		{`"latency_s": 1.25`, `"latency_s": 1, "none": true`, `sessions[0].trials[0].none: a trial cannot have`},
		{`"latency_s": 1.25`, `"void": "no"`, `sessions[0].trials[0].void: must be true or false, not a text`},
		{`"latency_s": 1.25`, `"help": "shout"`, `sessions[0].trials[0].help: "shout" is not one of help_levels`},
		{`"latency_s": 1.25`, `"latency": 1`, `sessions[0].trials[0].latency: there is no such field`},
		{`{"outcome"`, `null, {"outcome"`, `sessions[0].trials[0]: must be an object, not null`},
		{`[true, false]`, `[true, null]`, `sessions[0].intervals[1]: null is not allowed in a list`},
		{`[true, false]`, `{}`, `sessions[0].intervals: must be a list, not an object`},
		{`"count": 12`, `"count": -1`, `sessions[0].count: must not be negative`},
		{`"count": 12`, `"count": 12, "count": 13`, `sessions[0].count: this field appears twice`},
		{`"kind": "probe"`, `"kind": ""`, `sessions[0].kind: must be teaching`},
		{`"kind": "probe"`, `"kind": "test"`, `sessions[0].kind: "test" is not one of`},
		{`"local_date": "2026-03-09"`, `"local_date": "9.3.2026"`, `sessions[0].local_date: "9.3.2026" is not a date`},
		{`"local_date": "2026-03-09"`, `"local_date": "2026-02-29"`, `sessions[0].local_date: "2026-02-29" is not a date`},
		{`"id": "s1"`, `"id": ""`, `sessions[0].id: this field is required`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T08:10:00+08:00"`, `sessions[0].ended_at: a session cannot end before`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09 09:10:00"`, `sessions[0].ended_at: "2026-03-09 09:10:00" is not a moment`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T9:10:00Z"`, `sessions[0].ended_at: "2026-03-09T9:10:00Z" is not a moment`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T09:10:00,5Z"`, `sessions[0].ended_at: "2026-03-09T09:10:00,5Z" is not a moment`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T09:10:00+24:00"`, `sessions[0].ended_at: "2026-03-09T09:10:00+24:00" is not a moment`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T09:10:00+08:60"`, `sessions[0].ended_at: "2026-03-09T09:10:00+08:60" is not a moment`},
		{`"2026-03-09T09:10:00+08:00"`, `"2026-03-09T09:10:00"`, `sessions[0].ended_at: "2026-03-09T09:10:00" is not a moment`},
		{`"100% in 1 session"`, `"most of the time"`, `criterion: "most of the time": a goal is needed here`},
		{`"criterion": "100% in 1 session",`, ``, `criterion: this field is required`},
		{`"Asia/Makassar"`, `"Makassar"`, `time_zone: "Makassar" is not a time zone`},
		{`"to": "2026-02-10"`, `"to": "2026-01-10"`, `pauses[0].to: a pause cannot end before it begins`},
		{`, "to": "2026-02-10"`, ``, `pauses[0].to: this field is required`},
		{`"off": ["long"]`, `"off": ["loong"]`, `rules.off[0]: "loong" is not a flag`},
		{`"off": ["long"]`, `"on": ["long"]`, `rules.on: there is no such field`},
		{`"rules": {"off": ["long"], "floor_percent": 3e1}`, `"rules": []`, `rules: must be an object, not a list`},
		{`{"as_of"`, `[{"as_of"`, `must be an object, not a list`},
		{`"2026-03-09"}]}`, `"2026-03-09"}]} {}`, `unexpected data after the end`},
		{`"2026-03-09"}]}`, `"2026-03-09"}]`, `the document ends too early`},
		{`"count": 12`, `"count" 12`, `sessions[0].count: not JSON near byte`},
		{`"id": "s1"`, "\"id\": \"\xff\"", `the input is not UTF-8`},
	} {
		input := strings.Replace(smallCase, c.old, c.new, 1)
		if input == smallCase {
			t.Fatalf("%s is not in the case", c.old)
		}
		var out bytes.Buffer
		err := answer.One(strings.NewReader(input), &out, evaluate)
		var wrong *strict.Error
		if !errors.As(err, &wrong) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.new, err, c.want)
		}
		if out.Len() > 0 {
			t.Errorf("%s: wrote %s", c.new, out.String())
		}
	}
}

func TestNullIsAbsent(t *testing.T) {
	t.Parallel()
	const nulls = `{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "100% in 1 session",
 "started_on": null, "step_back": null, "help_levels": null, "targets": null, "pauses": null, "rules": null,
 "sessions": [{"id": "s1", "started_at": "2026-03-09T09:00:00+08:00", "ended_at": "2026-03-09T09:10:00+08:00",
  "local_date": null, "by": null, "place": null, "kind": null, "planned_help": null, "void": null, "ended_early": null,
  "trials": [{"target": null, "outcome": "correct", "help": null, "latency_s": null, "none": null, "choices": null, "position": null, "void": null}],
  "count": null, "observed_s": null, "durations_s": null, "intervals": null}]}`
	const absent = `{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "100% in 1 session",
 "sessions": [{"id": "s1", "started_at": "2026-03-09T09:00:00+08:00", "ended_at": "2026-03-09T09:10:00+08:00", "trials": [{"outcome": "correct"}]}]}`
	var cases [2]criterion.Case
	for i, text := range []string{nulls, absent} {
		c, err := decodeCase([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		cases[i] = c
	}
	if diff := cmp.Diff(cases[0], cases[1]); diff != "" {
		t.Error(diff)
	}
	_, err := decodeCase([]byte(strings.Replace(absent, `"sessions": [`, `"sessions": null, "targets": [`, 1)))
	if err == nil {
		t.Error("no sessions, and no error")
	}
}

func TestComputeLines(t *testing.T) {
	t.Parallel()
	one := strings.ReplaceAll(smallCase, "\n", " ")
	input := one + "\r\n" + `{"as_of": 1}` + "\n\n" + one // no line end at the end
	var out bytes.Buffer
	err := answer.Lines(strings.NewReader(input), &out, evaluate)
	var failed *answer.LinesError
	if !errors.As(err, &failed) || failed.Failed != 2 {
		t.Fatalf("%v", err)
	}
	lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
	if len(lines) != 4 || lines[0] != lines[3] || !strings.HasPrefix(lines[0], `{"status":"met"`) ||
		lines[1] != `{"error":"as_of: must be a text, not a number"}` || lines[2] != `{"error":"the document ends too early"}` {
		t.Errorf("%q", lines)
	}
	out.Reset()
	if err := answer.Lines(strings.NewReader(one+"\n"), &out, evaluate); err != nil || strings.Count(out.String(), "\n") != 1 {
		t.Errorf("%v %q", err, out.String())
	}
	if got := (&answer.LinesError{Failed: 1}).Error() + (&answer.LinesError{Failed: 2}).Error(); !strings.Contains(got, "1 line ") || !strings.Contains(got, "2 lines ") {
		t.Error(got)
	}
}

func TestComputeOdds(t *testing.T) {
	t.Parallel()
	const question = `{"criterion": "3x100%", "trials": 10, "accuracy": [0.8, 1.0], "sessions": [5, 10, 20]}`
	var out bytes.Buffer
	if err := answer.One(strings.NewReader(question), &out, odds); err != nil {
		t.Fatal(err)
	}
	var got criterion.OddsAnswer
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Criterion != "100% independent in 3 sessions in a row" || len(got.Rows) != 2 || fmt.Sprint(got.Rows[1].Within) != "[1 1 1]" {
		t.Errorf("%s", out.String())
	}
	out.Reset()
	err := answer.Lines(strings.NewReader(question+"\n"+`{"criterion": "3x100%", "trials": 10, "accuracy": [0.8], "sesions": [5]}`), &out, odds)
	var failed *answer.LinesError
	if !errors.As(err, &failed) || !strings.HasSuffix(out.String(), `{"error":"sesions: there is no such field"}`+"\n") {
		t.Errorf("%v %s", err, out.String())
	}
	for old, path := range map[string]string{
		`"trials": 10`: "trials", `"accuracy": [0.8, 1.0]`: "accuracy", `"sessions": [5, 10, 20]`: "sessions", `"criterion": "3x100%"`: "criterion",
	} {
		input := strings.Replace(question, old, `"help_levels": []`, 1)
		err := answer.One(strings.NewReader(input), &out, odds)
		if err == nil || err.Error() != path+": this field is required" {
			t.Errorf("without %s: %v", path, err)
		}
	}
}

// failing is a reader and writer that always fails.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }

func TestComputeBrokenStreams(t *testing.T) {
	t.Parallel()
	broken := errors.New("the pipe is broken")
	for _, compute := range []func() error{
		func() error { return answer.One(iotest.ErrReader(broken), &bytes.Buffer{}, evaluate) },
		func() error { return answer.Lines(iotest.ErrReader(broken), &bytes.Buffer{}, evaluate) },
		func() error { return answer.One(strings.NewReader(smallCase), failing{}, evaluate) },
		func() error { return answer.Lines(strings.NewReader(smallCase), failing{}, evaluate) },
	} {
		var wrong *strict.Error
		if err := compute(); err == nil || errors.As(err, &wrong) {
			t.Errorf("%v", err)
		}
	}
}

func FuzzDecodeCase(f *testing.F) {
	f.Add([]byte(smallCase))
	f.Add([]byte(`{}`))
	f.Add([]byte(`{"as_of": "2026-03-10T09:00:00Z", "time_zone": "UTC", "criterion": "3x100%", "sessions": []}`))
	f.Add([]byte(`{"sessions": [{"trials": [{"outcome": null}]}]}`))
	f.Add([]byte(`[`))
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := decodeCase(b)
		if err != nil {
			var wrong *strict.Error
			if !errors.As(err, &wrong) || err.Error() == "" {
				t.Fatalf("%#v", err)
			}
			return
		}
		r, err := criterion.Evaluate(c)
		if err != nil {
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatalf("the reading cannot be written: %v", err)
		}
	})
}
