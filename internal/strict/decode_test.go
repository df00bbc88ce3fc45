package strict_test

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"testing"
	"time"

	"newel/internal/strict"
)

// thing is what these tests read.
type thing struct {
	name  string
	at    time.Time
	inner []json.RawMessage
}

func readThing(d *strict.Decoder, into *thing) error {
	return d.Object([]string{"name"}, func(name string) error {
		switch name {
		case "name":
			return d.Text(&into.name)
		case "at":
			return d.Parsed(&into.at)
		case "inner":
			return strict.List(d, &into.inner, d.Raw)
		case "aside":
			return d.Skip()
		}
		return d.Unknown()
	})
}

func TestReadRefuses(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ body, path, problem string }{
		"nothing":             {``, "", "ends too early"},
		"not an object":       {`[]`, "", "must be an object, not a list"},
		"half":                {`{"name": "a"`, "", "ends too early"},
		"a comma":             {`{"name": "a",}`, "", "not JSON near byte"},
		"not UTF-8":           {"{\"name\": \"\xff\"}", "", "not UTF-8"},
		"two documents":       {`{"name": "a"}{}`, "", "after the end"},
		"unknown":             {`{"name": "a", "nmae": "b"}`, "nmae", "no such field"},
		"another case":        {`{"Name": "a"}`, "Name", "no such field"},
		"twice":               {`{"name": "a", "name": "a"}`, "name", "twice"},
		"twice, once null":    {`{"name": null, "name": "a"}`, "name", "twice"},
		"twice in what waits": {`{"name": "a", "aside": [{"b": 1, "b": 1}]}`, "aside[0].b", "twice"},
		"missing":             {`{}`, "name", "required"},
		"null":                {`{"name": null}`, "name", "required"},
		"a number":            {`{"name": 1}`, "name", "must be a text, not a number"},
		"no moment":           {`{"name": "a", "at": "soon"}`, "at", "soon"},
		"a moment by number":  {`{"name": "a", "at": 1}`, "at", "must be a text"},
		"cut inside":          {`{"name": "a", "inner": [{]}`, "inner[0]", "not JSON near byte"},
		"deep": {
			`{"name": "a", "aside": ` + strings.Repeat("[", 100) + strings.Repeat("]", 100) + `}`,
			"aside" + strings.Repeat("[0]", strict.MaxDepth), "nested more than 32 deep",
		},
		"an empty name": {`{"name": "a", "aside": {"": [1, {"": 1, "": 2}]}}`, "aside.[1].", "twice"},
	} {
		var got thing
		err := strict.Read([]byte(c.body), func(d *strict.Decoder) error { return readThing(d, &got) })
		var wrong *strict.Error
		if !errors.As(err, &wrong) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if wrong.Path != c.path || !strings.Contains(wrong.Err.Error(), c.problem) {
			t.Errorf("%s: at %q: %v; want %q: %s", name, wrong.Path, wrong.Err, c.path, c.problem)
		}
	}
}

// TestSyntaxErrorsAreTold apart from what is JSON and cannot be used.
func TestSyntaxErrorsAreTold(t *testing.T) {
	t.Parallel()
	for body, want := range map[string]bool{``: true, `{"name": "a"`: true, `{"name" "a"}`: true, `{"name": 1}`: false, `{"nmae": "a"}`: false} {
		var got thing
		err := strict.Read([]byte(body), func(d *strict.Decoder) error { return readThing(d, &got) })
		var syntax *strict.SyntaxError
		if is := errors.As(err, &syntax); is != want || err == nil {
			t.Errorf("%s: %v is a syntax error: %v, want %v", body, err, is, want)
		}
	}
}

// TestRawIsAsItWasSent: what is inside another document keeps its spelling,
// and its faults are its own.
func TestRawIsAsItWasSent(t *testing.T) {
	t.Parallel()
	inner := `{ "b" : 1.50,  "b": null}`
	var got thing
	err := strict.Read([]byte(`{"name": "a", "at": "2026-03-09T10:00:00Z", "inner": [null, `+inner+`]}`), func(d *strict.Decoder) error { return readThing(d, &got) })
	if err != nil || len(got.inner) != 2 || string(got.inner[0]) != "null" || string(got.inner[1]) != inner {
		t.Errorf("%q, %v", got.inner, err)
	}
	if want := time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC); !got.at.Equal(want) {
		t.Errorf("at %v", got.at)
	}
}

// TestManyNames: a name that appears twice is found among many.
func TestManyNames(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString(`{"name": "a", "aside": {`)
	const most = 100_000
	for i := range most {
		b.WriteString(`"` + strconv.Itoa(i) + `": 0, `)
	}
	b.WriteString(`"last": 0, "last": 0}}`)
	var got thing
	err := strict.Read([]byte(b.String()), func(d *strict.Decoder) error { return readThing(d, &got) })
	var wrong *strict.Error
	if !errors.As(err, &wrong) || wrong.Path != "aside.last" {
		t.Error(err)
	}
}
