package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/preference"
	"newel/internal/sequence"
	"newel/internal/singlecase"
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
			"evaluate", "the status of a step from its sessions", criterion.ComputeEvaluate,
			`{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "80% independent in 2 sessions in a row", "sessions": [` +
				`{"id": "s1", "started_at": "2026-03-09T08:00:00+08:00", "ended_at": "2026-03-09T08:05:00+08:00", "trials": [{"outcome": "correct"}, {"outcome": "incorrect"}]}]}`,
		},
		{
			"odds", "how likely a criterion is to be met, by true accuracy", criterion.ComputeOdds,
			`{"criterion": "80% independent in 3 sessions in a row", "trials": 10, "accuracy": [0.5, 0.8, 0.9], "sessions": [5, 10, 20]}`,
		},
		{
			"effect", "how phase B differs from phase A: overlap, NAP, tau, log ratio", singlecase.ComputeEffect,
			`{"a": [20, 20, 26, 25, 22, 23], "b": [28, 25, 24, 27, 30, 30, 29], "improvement": "up"}`,
		},
		{
			"trend", "the trend of one phase: tests, lines, stability; x defaults to 1, 2, 3 …", singlecase.ComputeTrend,
			`{"y": [20, 30, 30, 50, 40, 60, 70, 70, 90, 80]}`,
		},
		{
			"celeration", "the factor by which counts per minute change in a week", singlecase.ComputeCeleration,
			`{"days": [1, 2, 3, 5, 8], "counts_per_minute": [20, 22, 0, 24, 30], "floor": 0.2}`,
		},
		{
			"agreement", "interobserver agreement: counts, intervals, trials, durations", measure.ComputeAgreement,
			`{"kind": "trials", "first": ["+", "-", "+", "+"], "second": ["+", "-", "-", "+"]}`,
		},
		{
			"preference", "the scores of a preference assessment: paired, multiple, free", preference.Compute,
			`{"kind": "multiple", "items": ["blocks", "car", "puzzle"], "sessions": [["car", "blocks", "puzzle"], ["car", ""]]}`,
		},
		{
			"order", "the order of trials: massed, blocked, rotation", sequence.Compute,
			`{"targets": ["cup", "spoon"], "trials": 10, "rule": "rotation", "known": ["ball", "shoe"], "known_share": 40, "positions": 3, "seed": 7}`,
		},
		{
			"sampling", "what partial-interval, whole-interval or momentary time sampling records of an observation", measure.ComputeSampling,
			`{"bouts": [[3, 18], [42, 47]], "length_s": 60, "interval_s": 10, "method": "partial"}`,
		},
	}
}

// exitInput is the status for input that cannot be read.
const exitInput = 2

func runCompute(_ context.Context, std stdio, args []string) error {
	fs := flag.NewFlagSet("compute", flag.ContinueOnError)
	fs.SetOutput(std.err)
	lines := fs.Bool("lines", false, "read one JSON document per line and answer them in order")
	list := fs.Bool("list", false, "list the kinds")
	kind := ""
	fs.Usage = func() { computeUsage(std.err, kind) }
	// The kind may stand before or after the flags.
	if len(args) > 0 && args[0] != "" && args[0][0] != '-' {
		kind, args = args[0], args[1:]
	}
	if err := fs.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return exitCode(exitInput)
	}
	rest := fs.Args()
	if kind == "" && len(rest) > 0 {
		kind, rest = rest[0], rest[1:]
	}
	if len(rest) > 0 {
		fmt.Fprintf(std.err, "newel compute: unexpected argument %q: give one kind, and the input on standard input\n", rest[0])
		return exitCode(exitInput)
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
	fmt.Fprintf(std.err, "newel compute: unknown kind %q\n", kind)
	computeUsage(std.err, "")
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

// computeUsage explains one kind, or all where there is no such kind.
func computeUsage(w io.Writer, kind string) {
	fmt.Fprintln(w, "Usage: newel compute KIND [--lines] < input.json\n\nReads JSON from standard input and writes JSON to standard output; with --lines, one\n"+
		"document per line. The exit status is 2 if the input cannot be read, with the field's name,\nand 1 if some lines could not be read.")
	all := computations()
	one := slices.IndexFunc(all, func(c computation) bool { return c.kind == kind })
	for i, c := range all {
		if one < 0 || one == i {
			fmt.Fprintf(w, "\n%s: %s\n  echo '%s' | newel compute %s\n", c.kind, c.help, c.example, c.kind)
		}
	}
}
