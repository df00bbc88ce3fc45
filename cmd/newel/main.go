// Command newel is all of Newel: the server with its built-in database, and the
// operator's tools.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
)

// command is one word after "newel".
type command struct {
	name, args, help string
	run              func(ctx context.Context, io stdio, args []string) error
}

// stdio is what a command reads and writes; tests pass their own.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

func commands() []command {
	return []command{
		{"run", "[--demo]", "start the server; --demo uses an invented clinic and prints sign-in links", runServer},
		{"demo", "reset", "empty the invented clinic and fill it again; refused if the database holds anything else", runDemo},
		{"migrate", "", "update the database to this version's schema", runMigrate},
		{"dump", "FILE", "write a database backup", runDump},
		{"restore", "FILE", "restore a database backup into an empty database", runRestore},
		{"verify", "", "recompute every status and report differences", runVerify},
		{"family", "list/export/erase", "export a family's whole record, or erase it; see newel family help", runFamily},
		{"renew-phone-keys", "", "create a new key for sealing data that waits on phones; older keys still open what they sealed", runRenewPhoneKeys},
		{"program", "export/import", "export a program as a file, or import one as a draft; see newel program help", runProgram},
		{"compute", "KIND", "compute one result from JSON on standard input; see newel compute --list", runCompute},
		{"config", "", "print the current settings", runConfig},
		{"postgres-bindir", "", "print the folder of the built-in database's programs", runBinDir},
	}
}

// exitCode is an error that only sets the exit status, after all messages have
// been printed.
type exitCode int

func (e exitCode) Error() string { return fmt.Sprintf("exit status %d", int(e)) }

func main() {
	args := os.Args[1:]
	ctx := context.Background()
	if tidies(args) {
		var stop context.CancelFunc
		ctx, stop = signal.NotifyContext(ctx, syscall.SIGINT, syscall.SIGTERM)
		// After the first signal, a second one ends the process at once.
		go func() { <-ctx.Done(); stop() }()
	}
	os.Exit(dispatch(ctx, stdio{os.Stdin, os.Stdout, os.Stderr}, args))
}

// tidies reports whether the command has anything to put in order when a signal
// ends it. newel compute has not: it would only wait for its input, or compute to
// the end, before it looked at the signal.
func tidies(args []string) bool { return len(args) == 0 || args[0] != "compute" }

// dispatch runs the command in args and returns the exit status: 0 for success,
// 1 for failure, 2 for wrong usage.
func dispatch(ctx context.Context, io stdio, args []string) int {
	if len(args) == 0 || args[0] == "help" || args[0] == "--help" || args[0] == "-h" {
		usage(io.out)
		return 0
	}
	for _, c := range commands() {
		if c.name != args[0] {
			continue
		}
		err := c.run(ctx, io, args[1:])
		var code exitCode
		switch {
		case err == nil, errors.Is(err, flag.ErrHelp):
			return 0
		case errors.As(err, &code):
			return int(code)
		}
		fmt.Fprintln(io.err, "newel "+c.name+": "+err.Error())
		return 1
	}
	fmt.Fprintf(io.err, "newel: unknown command %q\n\n", args[0])
	usage(io.err)
	return 2
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "Newel, a web app for clinics that teach through families.\n\nUsage: newel COMMAND [flags]")
	fmt.Fprintln(w)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-22s %s\n", c.name+" "+c.args, c.help)
	}
	fmt.Fprintln(w, "\nSet options with flags or environment variables; newel config lists them.")
}
