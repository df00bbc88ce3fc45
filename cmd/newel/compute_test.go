package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"newel/internal/compute"
)

// TestComputeExamples runs the examples in the help, both as one document and
// line by line.
func TestComputeExamples(t *testing.T) {
	t.Parallel()
	for _, k := range compute.Kinds() {
		for _, args := range [][]string{{"compute", k.Name}, {"compute", k.Name, "--lines"}, {"compute", "--lines", k.Name}} {
			var out, errs bytes.Buffer
			code := dispatch(t.Context(), stdio{strings.NewReader(k.Example + "\n"), &out, &errs}, args)
			if code != 0 || !json.Valid(out.Bytes()) {
				t.Errorf("%v: status %d, %s%s", args, code, out.String(), errs.String())
			}
		}
	}
}

// TestComputeStatus checks exit status 2 for unreadable input and 1 when lines
// failed, with their errors in the output.
func TestComputeStatus(t *testing.T) {
	t.Parallel()
	// Every kind rejects an unknown field and names it.
	for _, k := range compute.Kinds() {
		var out, errs bytes.Buffer
		in := strings.TrimSuffix(k.Example, "}") + `, "spped": 1}`
		code := dispatch(t.Context(), stdio{strings.NewReader(in), &out, &errs}, []string{"compute", k.Name})
		if code != 2 || errs.String() != "spped: there is no such field\n" || out.Len() > 0 {
			t.Errorf("%s: status %d, %s%s", k.Name, code, out.String(), errs.String())
		}
	}
	for name, tc := range map[string]struct {
		args []string
		in   string
		code int
		out  string
		err  string
	}{
		"no such kind":    {[]string{"compute", "horoscope"}, "{}", 2, "", "horoscope"},
		"no kind":         {[]string{"compute"}, "{}", 2, "", "unknown kind"},
		"names the field": {[]string{"compute", "evaluate"}, `{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "UTC", "criterion": "3x100%", "sessions": [], "spped": 1}`, 2, "", "spped"},
		"some lines":      {[]string{"compute", "odds", "--lines"}, "{}\n" + compute.Kinds()[1].Example + "\n", 1, `{"error":`, ""},
		"list":            {[]string{"compute", "--list"}, "", 0, "evaluate", ""},
		"too much":        {[]string{"compute", "odds", "file.json"}, "{}", 2, "", "file.json"},
		"help":            {[]string{"compute", "--help"}, "", 0, "", "newel compute sampling"},
		"help of a kind":  {[]string{"compute", "effect", "--help"}, "", 0, "", "newel compute effect"},
		"no such flag":    {[]string{"compute", "effect", "--fast"}, "", 2, "", "fast"},
		"no such command": {[]string{"fly"}, "", 2, "", "fly"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			code := dispatch(t.Context(), stdio{strings.NewReader(tc.in), &out, &errs}, tc.args)
			if code != tc.code || !strings.Contains(out.String(), tc.out) || !strings.Contains(errs.String(), tc.err) {
				t.Errorf("status %d\nout: %s\nerr: %s", code, out.String(), errs.String())
			}
		})
	}
}
