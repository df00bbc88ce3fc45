package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"

	"newel/internal/criterion"
	"newel/internal/strict"
)

// computation is one kind of newel compute.
type computation struct {
	kind, help string
	answer     strict.Computation
	example    string
}

func computations() []computation {
	return []computation{
		{
			"evaluate", "the reading of a placement from its sessions", criterion.ComputeEvaluate,
			`{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "80% independent in 2 sessions in a row", "sessions": [` +
				`{"id": "s1", "started_at": "2026-03-09T08:00:00+08:00", "ended_at": "2026-03-09T08:05:00+08:00", "trials": [{"outcome": "correct"}, {"outcome": "incorrect"}]}]}`,
		},
		{
			"odds", "how likely a criterion is met, by true accuracy", criterion.ComputeOdds,
			`{"criterion": "80% independent in 3 sessions in a row", "trials": 10, "accuracy": [0.5, 0.8, 0.9], "sessions": [5, 10, 20]}`,
		},
	}
}

// exitInput is the status for input that cannot be read.
const exitInput = 2

func runCompute(_ context.Context, std stdio, args []string) error {
	fs := flag.NewFlagSet("compute", flag.ContinueOnError)
	fs.SetOutput(std.err)
	lines := fs.Bool("lines", false, "read one JSON document a line and answer each in its place")
	list := fs.Bool("list", false, "list the kinds")
	fs.Usage = func() { computeUsage(std.err) }
	// The kind may stand before or after the flags.
	kind := ""
	if len(args) > 0 && args[0] != "" && args[0][0] != '-' {
		kind, args = args[0], args[1:]
	}
	if err := fs.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return exitCode(exitInput)
	}
	if kind == "" {
		kind = fs.Arg(0)
	}
	if *list {
		for _, c := range computations() {
			fmt.Fprintf(std.out, "%-10s %s\n", c.kind, c.help)
		}
		return nil
	}
	for _, c := range computations() {
		if c.kind == kind {
			return computeStatus(std, c.run(std, *lines))
		}
	}
	fmt.Fprintf(std.err, "newel compute: there is no kind %q\n", kind)
	computeUsage(std.err)
	return exitCode(exitInput)
}

func (c computation) run(std stdio, lines bool) error {
	if lines {
		return strict.Lines(std.in, std.out, c.answer)
	}
	return strict.One(std.in, std.out, c.answer)
}

// computeStatus: 2 for input that cannot be read, 1 when some lines failed
// (their errors stand in the output).
func computeStatus(std stdio, err error) error {
	var input *strict.Error
	var some *strict.LinesError
	switch {
	case errors.As(err, &input):
		fmt.Fprintln(std.err, err)
		return exitCode(exitInput)
	case errors.As(err, &some):
		return exitCode(1)
	}
	return err
}

func computeUsage(w io.Writer) {
	fmt.Fprintln(w, "Usage: newel compute KIND [--lines] < input.json\n\nReads JSON from standard input and writes JSON to standard output.")
	for _, c := range computations() {
		fmt.Fprintf(w, "\n%s: %s\n  echo '%s' | newel compute %s\n", c.kind, c.help, c.example, c.kind)
	}
}
