package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strconv"

	"newel/internal/compute"
	"newel/internal/compute/answer"
	"newel/internal/exact"
	"newel/internal/strict"
)

// exitInput is the exit status for unreadable input.
const exitInput = 2

func runCompute(_ context.Context, std stdio, args []string) error {
	fs := flag.NewFlagSet("compute", flag.ContinueOnError)
	fs.SetOutput(std.err)
	lines := fs.Bool("lines", false, "read one JSON document per line and answer them in order")
	list := fs.Bool("list", false, "list the kinds")
	kind := ""
	fs.Usage = func() { computeUsage(std.err, kind) }
	// The kind may come before or after the flags.
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
		for _, k := range compute.Kinds() {
			fmt.Fprintf(std.out, "%-10s %s\n", k.Name, k.Help)
		}
		return nil
	}
	if k, ok := compute.Find(kind); ok {
		return computeStatus(std, answerOf(k, std, *lines))
	}
	fmt.Fprintf(std.err, "newel compute: unknown kind %q\n", kind)
	computeUsage(std.err, "")
	return exitCode(exitInput)
}

func answerOf(kind compute.Kind, std stdio, lines bool) error {
	if lines {
		return answer.Lines(std.in, std.out, kind.Answer)
	}
	return answer.One(std.in, std.out, kind.Answer)
}

// computeStatus returns exit status 2 for unreadable input and 1 if some lines
// failed (their errors are in the output).
func computeStatus(std stdio, err error) error {
	var input *strict.Error
	var some *answer.LinesError
	switch {
	case errors.As(err, &input):
		fmt.Fprintln(std.err, err)
		return exitCode(exitInput)
	case errors.As(err, &some):
		return exitCode(1)
	}
	return err
}

// computeUsage explains one kind, or all kinds if there is no such kind.
func computeUsage(w io.Writer, kind string) {
	fmt.Fprintln(w, "Usage: newel compute KIND [--lines] < input.json\n\nReads JSON from standard input and writes JSON to standard output; with --lines, one\n"+
		"document per line. The exit status is 2 if the input cannot be read, with the field's name,\nand 1 if some lines could not be read. Numbers may have at most "+strconv.Itoa(exact.MaxDigits)+" digits,\nwritten out without an exponent.")
	all := compute.Kinds()
	one := slices.IndexFunc(all, func(k compute.Kind) bool { return k.Name == kind })
	for i, k := range all {
		if one < 0 || one == i {
			fmt.Fprintf(w, "\n%s: %s\n  limits: %s\n  echo '%s' | newel compute %s\n", k.Name, k.Help, k.Limits, k.Example, k.Name)
		}
	}
}
