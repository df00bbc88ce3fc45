// Command newel is the whole of Newel: the server with its built-in database,
// and the tools of whoever runs it.
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

// stdio is what a command reads and writes, so that tests can pass their own.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

func commands() []command {
	return []command{
		{"run", "[--demo]", "start the server; with --demo on an invented clinic, with links that sign in", runServer},
		{"demo", "reset", "empty the invented clinic and fill it anew; refused where there is anything else", runDemo},
		{"migrate", "", "bring the database up to this version's schema", runMigrate},
		{"dump", "FILE", "write a logical dump of the database", runDump},
		{"restore", "FILE", "read a dump into an empty database", runRestore},
		{"verify", "", "compute every reading again and report differences", runVerify},
		{"family", "list/export/erase", "take a family's whole record out, or erase it; newel family help", runFamily},
		{"renew-phone-keys", "", "make a new key, to which phones seal from now on what waits on them; older ones still open", runRenewPhoneKeys},
		{"program", "export/import", "take a program out as a file, or bring one in as a draft; newel program help", runProgram},
		{"compute", "KIND", "compute one thing from JSON on standard input; newel compute --list", runCompute},
		{"config", "", "print the settings as understood", runConfig},
		{"postgres-bindir", "", "print where the built-in database's programs are", runBinDir},
	}
}

// exitCode is an error that only sets the exit status: whatever there was to
// say has been said.
type exitCode int

func (e exitCode) Error() string { return fmt.Sprintf("exit status %d", int(e)) }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	// After the first signal the second one ends the process at once.
	go func() { <-ctx.Done(); stop() }()
	os.Exit(dispatch(ctx, stdio{os.Stdin, os.Stdout, os.Stderr}, os.Args[1:]))
}

// dispatch runs the command that args name and gives the exit status: 0 done,
// 1 failed, 2 not understood.
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
	fmt.Fprintf(io.err, "newel: there is no command %q\n\n", args[0])
	usage(io.err)
	return 2
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "Newel, the web app of a clinic that teaches through families.\n\nUsage: newel COMMAND [flags]")
	fmt.Fprintln(w)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-22s %s\n", c.name+" "+c.args, c.help)
	}
	fmt.Fprintln(w, "\nSettings are flags or environment variables; newel config lists them.")
}
