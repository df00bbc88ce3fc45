package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/programfile"
	"newel/internal/writing"
)

func importProgram(ctx context.Context, std stdio, cfg config.Config, f programFlags, name string) error {
	if f.draft || f.zip || f.number > 0 {
		return badUse{errors.New("--draft, --version and --zip work only with export")}
	}
	words, err := message.Load()
	if err != nil {
		return err
	}
	say := words.For("en")
	raw, err := readAll(std, name)
	if err != nil {
		return badUse{err}
	}
	file, err := app.ReadProgram(raw)
	if err != nil {
		fileProblems(std.err, say, name, err)
		return exitCode(exitInput)
	}
	if f.onlyLook {
		fmt.Fprintf(std.out, "%s can be read: %s.\n", name, summary(file))
		reviewed(std.out, say, file)
		return nil
	}
	return onPrograms(ctx, std, cfg, f.clinic, func(o app.Operator) error {
		location, err := o.Import(ctx, file)
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s has a new draft: %s.\n%s%s\n", o.Clinic.Name, summary(file), cfg.BaseURL, location)
		reviewed(std.out, say, file)
		return nil
	})
}

// readAll reads a file up to the maximum length of a program file.
func readAll(std stdio, name string) ([]byte, error) {
	in := std.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	raw, err := io.ReadAll(io.LimitReader(in, programfile.MaxZip+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	return raw, nil
}

// fileProblems prints the errors of a file: file, line, column, field and
// sentence.
func fileProblems(w io.Writer, say *message.Printer, name string, err error) {
	var rejected *app.FileProblems
	var invalid *newel.Invalid
	switch {
	case errors.As(err, &rejected):
		for _, p := range rejected.Problems {
			fmt.Fprint(w, name)
			if p.Line > 0 {
				fmt.Fprintf(w, ":%d:%d", p.Line, p.Column)
			}
			if p.Field != "" {
				fmt.Fprint(w, ": "+p.Field)
			}
			fmt.Fprintln(w, ": "+say.Problem(p.Problem))
		}
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			fmt.Fprintf(w, "%s: title: %s\n", name, say.Problem(p))
		}
	default:
		fmt.Fprintf(w, "%s: %v\n", name, err)
	}
}

func summary(f app.ProgramFile) string {
	steps := 0
	for _, s := range f.Document.Strands {
		steps += len(s.Steps)
	}
	return fmt.Sprintf("%q, steps: %d, pictures: %d", f.Document.Title, steps, len(f.Pictures))
}

// reviewed prints what the editor will report about the draft.
func reviewed(w io.Writer, say *message.Printer, f app.ProgramFile) {
	for _, a := range writing.Review(&f.Document, writing.Context{}) {
		before := "suggestion"
		if a.Severity == program.BlocksPublishing {
			before = "fix before publishing"
		}
		fmt.Fprintf(w, "  %s: %s: %s\n", before, a.Field, say.Problem(a.Problem))
	}
}
