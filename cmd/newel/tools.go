package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"os"

	"newel/internal/config"
	"newel/internal/embeddedpg"
)

// exitNoPostgres is the exit status of postgres-bindir when there is no
// PostgreSQL, so that a script can install it.
const exitNoPostgres = 3

// load reads the settings of a command without other arguments.
func load(io stdio, name string, args []string) (config.Config, []string, error) {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.err)
	cfg, err := config.Load(fs, args, os.Environ())
	return cfg, fs.Args(), err
}

func logger(io stdio) *slog.Logger { return slog.New(slog.NewTextHandler(io.err, nil)) }

func runConfig(_ context.Context, io stdio, args []string) error {
	cfg, _, err := load(io, "config", args)
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(io.out, cfg.String())
	return err
}

func runBinDir(_ context.Context, io stdio, args []string) error {
	cfg, _, err := load(io, "postgres-bindir", args)
	if err != nil {
		return err
	}
	dir, err := embeddedpg.FindBinDir(cfg.PGBinDir, cfg.DataDir)
	if errors.Is(err, embeddedpg.ErrNoBinaries) {
		fmt.Fprintln(io.err, err)
		return exitCode(exitNoPostgres)
	}
	if err == nil {
		fmt.Fprintln(io.out, dir)
	}
	return err
}

// withDatabase runs fn on the configured database. It stops the built-in
// database afterwards.
func withDatabase(ctx context.Context, io stdio, name string, args []string, fn func(config.Config, *database, []string, *slog.Logger) error) error {
	cfg, rest, err := load(io, name, args)
	if err != nil {
		return err
	}
	log := logger(io)
	db, err := openDatabase(ctx, cfg, log)
	if err != nil {
		return err
	}
	return errors.Join(fn(cfg, db, rest, log), db.stop())
}

func runMigrate(ctx context.Context, io stdio, args []string) error {
	return withDatabase(ctx, io, "migrate", args, func(cfg config.Config, db *database, _ []string, log *slog.Logger) error {
		return db.migrate(ctx, cfg, log)
	})
}

func runDump(ctx context.Context, io stdio, args []string) error {
	return withDatabase(ctx, io, "dump", args, func(_ config.Config, db *database, rest []string, _ *slog.Logger) error {
		if len(rest) != 1 {
			return errors.New("name the file to write: newel dump FILE")
		}
		if db.backup == "" {
			return errors.New("set NEWEL_BACKUP_URL to a connection as the backup role: the app role cannot read across clinics")
		}
		return embeddedpg.Dump(ctx, db.binDir, db.backup, rest[0])
	})
}

func runRestore(ctx context.Context, io stdio, args []string) error {
	return withDatabase(ctx, io, "restore", args, func(_ config.Config, db *database, rest []string, _ *slog.Logger) error {
		if len(rest) != 1 {
			return errors.New("name the file to read: newel restore FILE")
		}
		return embeddedpg.Restore(ctx, db.binDir, db.owner, rest[0])
	})
}
