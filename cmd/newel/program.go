package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/programfile"
	"newel/migrations"
)

// programExamples are printed in the help; a test runs them in order.
var programExamples = []string{
	`newel program export "Putting on a jacket" > jacket.yaml`,
	`newel program export "Putting on a jacket" --version 1 --zip > jacket.zip`,
	`newel program import jacket.yaml --check`,
	`newel program import - --check < jacket.yaml`,
	`newel program import jacket.yaml`,
	`newel program import jacket.zip --clinic "Alder Lane"`,
}

const programHelp = `Usage: newel program export PROGRAM [flags] > FILE
       newel program import FILE [flags]

Exports a program of a clinic as a file, or imports a file as a draft. PROGRAM
is its name or ID. FILE is a YAML file or a zip with its pictures; - is standard
input. Review an imported draft and sign it off in the editor like any other.
The exit status is 2 if a file cannot be read; each problem is listed with its
line and field. docs/program-file.md describes the format.

  --clinic NAME   name or ID of the clinic; required if there are several
  --version N     export: this version instead of the latest
  --draft         export: the draft instead of the latest version
  --zip           export: a zip with the pictures
  --check         import: only read the file and report what it contains

Flags come after PROGRAM or FILE. The settings that newel config lists are also
flags.
`

// programFlags are the command's own flags.
type programFlags struct {
	clinic               string
	number               int
	draft, zip, onlyLook bool
}

// state returns the name of the requested program state, as app expects it.
func (f programFlags) state() string {
	switch {
	case f.draft:
		return app.DraftName
	case f.number > 0:
		return strconv.Itoa(f.number)
	}
	return ""
}

// badUse is an error in a command line or file: exit status 2.
type badUse struct{ error }

func runProgram(ctx context.Context, std stdio, args []string) error {
	err := programCommand(ctx, std, args)
	var bad badUse
	if errors.As(err, &bad) {
		fmt.Fprintln(std.err, "newel program: "+bad.Error())
		return exitCode(exitInput)
	}
	return err
}

func programCommand(ctx context.Context, std stdio, args []string) error {
	verb := ""
	if len(args) > 0 {
		verb, args = args[0], args[1:]
	}
	switch verb {
	case "export", "import":
	case "help", "-h", "-help", "--help":
		programUsage(std.out)
		return nil
	default:
		programUsage(std.err)
		return badUse{errors.New("use export or import")}
	}
	var f programFlags
	cfg, subject, err := f.parse(std, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return badUse{err}
	case verb == "import":
		return importProgram(ctx, std, cfg, f, subject)
	}
	return exportProgram(ctx, std, cfg, f, subject)
}

func programUsage(w io.Writer) {
	fmt.Fprint(w, programHelp, "\nExamples:\n")
	for _, example := range programExamples {
		fmt.Fprintln(w, "  "+example)
	}
}

// parse reads the flags and the single argument before or after them.
func (f *programFlags) parse(std stdio, args []string) (config.Config, string, error) {
	fs := flag.NewFlagSet("program", flag.ContinueOnError)
	fs.SetOutput(std.err)
	fs.Usage = func() { programUsage(std.err) }
	fs.StringVar(&f.clinic, "clinic", "", "")
	fs.IntVar(&f.number, "version", 0, "")
	fs.BoolVar(&f.draft, "draft", false, "")
	fs.BoolVar(&f.zip, "zip", false, "")
	fs.BoolVar(&f.onlyLook, "check", false, "")
	if len(args) > 0 && (args[0] == "-" || !strings.HasPrefix(args[0], "-")) {
		args = append(slices.Clone(args[1:]), args[0])
	}
	cfg, err := config.Load(fs, args, os.Environ())
	rest := fs.Args()
	switch {
	case err != nil:
	case len(rest) == 0:
		err = errors.New("name it: newel program export PROGRAM, or newel program import FILE")
	case len(rest) > 1:
		err = fmt.Errorf("unexpected argument %q: give one program or file, then the flags", rest[0])
	case f.draft && f.number > 0:
		err = errors.New("use --draft or --version, not both")
	case f.number < 0:
		err = errors.New("versions start at 1")
	default:
		return cfg, rest[0], nil
	}
	return cfg, "", err
}

// onPrograms runs fn for the requested clinic.
func onPrograms(ctx context.Context, std stdio, cfg config.Config, clinic string, fn func(app.Operator) error) error {
	log := logger(std)
	db, err := openDatabase(ctx, cfg, log)
	if err != nil {
		return err
	}
	return errors.Join(onClinic(ctx, db, log, clinic, fn), db.stop())
}

func onClinic(ctx context.Context, db *database, log *slog.Logger, clinic string, fn func(app.Operator) error) error {
	store, err := postgres.Open(ctx, db.app, time.Now)
	if err != nil {
		return err
	}
	defer store.Close()
	if err := store.Ready(ctx, migrations.Latest()); err != nil {
		return fmt.Errorf("%w: run newel migrate or start this version's server first", err)
	}
	all, err := app.New(store, log, time.Now).Operators(ctx)
	if err != nil {
		return err
	}
	o, err := theClinic(all, clinic)
	if err != nil {
		return err
	}
	return fn(o)
}

func theClinic(all []app.Operator, name string) (app.Operator, error) {
	var names []string
	var fit []app.Operator
	for _, o := range all {
		names = append(names, strconv.Quote(o.Clinic.Name)+" "+o.Clinic.ID.String())
		if name == "" || o.Clinic.ID.String() == name || strings.EqualFold(o.Clinic.Name, program.Normalize(name)) {
			fit = append(fit, o)
		}
	}
	list := "\n  " + strings.Join(names, "\n  ")
	switch {
	case len(all) == 0:
		return app.Operator{}, errors.New("there is no clinic yet: start the server and set one up")
	case len(fit) == 1:
		return fit[0], nil
	case name == "":
		return app.Operator{}, badUse{fmt.Errorf("there are %d clinics; choose one with --clinic:%s", len(all), list)}
	case len(fit) == 0:
		return app.Operator{}, badUse{fmt.Errorf("there is no clinic %q; choose one of:%s", name, list)}
	}
	return app.Operator{}, badUse{fmt.Errorf("several clinics are called %q; use the ID:%s", name, list)}
}

func exportProgram(ctx context.Context, std stdio, cfg config.Config, f programFlags, name string) error {
	if f.onlyLook {
		return badUse{errors.New("--check works only with import")}
	}
	return onPrograms(ctx, std, cfg, f.clinic, func(o app.Operator) error {
		id, err := theProgram(ctx, o, name)
		if err != nil {
			return err
		}
		file, err := o.Export(ctx, id, f.state())
		if errors.Is(err, newel.ErrNotFound) {
			return fmt.Errorf("%q has no such version or draft", name)
		}
		if err != nil {
			return err
		}
		if !f.zip {
			_, err = std.out.Write(programfile.Export(file.Document))
			return err
		}
		var packed bytes.Buffer
		if err := programfile.ExportZip(&packed, file.Document, file.Pictures); err != nil {
			return err
		}
		_, err = std.out.Write(packed.Bytes())
		return err
	})
}

// theProgram finds a program by its name or id.
func theProgram(ctx context.Context, o app.Operator, name string) (newel.ProgramID, error) {
	all, err := o.Programs(ctx)
	if err != nil {
		return newel.ProgramID{}, err
	}
	var fit []program.Summary
	for _, p := range all {
		if p.ID.String() == name || strings.EqualFold(p.Title, program.Normalize(name)) {
			fit = append(fit, p)
		}
	}
	var list strings.Builder
	shown := fit
	if len(fit) == 0 {
		shown = all
	}
	for _, p := range shown {
		fmt.Fprintf(&list, "\n  %s %s", p.ID, p.Title)
	}
	switch {
	case len(fit) == 1:
		return fit[0].ID, nil
	case len(all) == 0:
		return newel.ProgramID{}, fmt.Errorf("%s has no programs yet", o.Clinic.Name)
	case len(fit) == 0:
		return newel.ProgramID{}, fmt.Errorf("%s has no program %q; it has:%s", o.Clinic.Name, name, &list)
	}
	return newel.ProgramID{}, fmt.Errorf("several programs are called %q; use the ID:%s", name, &list)
}
