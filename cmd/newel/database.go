package main

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/config"
	"newel/internal/embeddedpg"
	"newel/internal/worker"
	"newel/migrations"
)

// database is either the built-in server or an external one of the operator.
type database struct {
	app, owner, backup string // connections of the three roles; backup may be empty
	binDir             string
	ended              <-chan struct{} // closed when the built-in server ends; nil for an external one
	failure            func() error
	stop               func() error
}

// openDatabase starts the built-in database or uses the configured one.
func openDatabase(ctx context.Context, cfg config.Config, log *slog.Logger) (*database, error) {
	if !cfg.Embedded() {
		return &database{
			app: cfg.DatabaseURL, owner: cfg.OwnerURL, backup: cfg.BackupURL, binDir: cfg.PGBinDir,
			failure: func() error { return nil }, stop: func() error { return nil },
		}, nil
	}
	server, err := embeddedpg.Start(ctx, embeddedpg.Config{Dir: cfg.DataDir, BinDir: cfg.PGBinDir, DumpDir: cfg.DumpDir, Log: log})
	if err != nil {
		return nil, err
	}
	return &database{
		app:    server.URL(embeddedpg.RoleApp, embeddedpg.Database),
		owner:  server.URL(embeddedpg.RoleOwner, embeddedpg.Database),
		backup: server.URL(embeddedpg.RoleBackup, embeddedpg.Database),
		binDir: server.BinDir(), ended: server.Done(), failure: server.Err, stop: server.Stop,
	}, nil
}

// dumper returns a Dumper for the database.
func (d *database) dumper(cfg config.Config, log *slog.Logger) worker.Dumper {
	return worker.Dumper{BinDir: d.binDir, URL: d.backup, Dir: cfg.DumpDir, Keep: cfg.DumpKeep, Log: log, Now: time.Now}
}

// migrate applies pending migrations, after a dump of a database that is in
// use.
func (d *database) migrate(ctx context.Context, cfg config.Config, log *slog.Logger) error {
	pending, err := migrations.Pending(ctx, d.owner)
	if err != nil {
		return err
	}
	if !pending {
		return nil
	}
	used, err := d.inUse(ctx)
	if err != nil {
		return err
	}
	if used {
		if err := d.dumpFirst(ctx, cfg, log); err != nil {
			return err
		}
	}
	return migrations.Up(ctx, d.owner)
}

func (d *database) dumpFirst(ctx context.Context, cfg config.Config, log *slog.Logger) error {
	if d.backup == "" {
		log.WarnContext(ctx, "migrating without a database backup: NEWEL_BACKUP_URL is not set")
		return nil
	}
	if err := d.dumper(cfg, log).Dump(ctx); err != nil {
		return fmt.Errorf("cannot make the database backup that a migration needs (folder %s): %w", filepath.Clean(cfg.DumpDir), err)
	}
	return nil
}

// inUse reports whether any migration has been applied: a new database needs no
// dump.
func (d *database) inUse(ctx context.Context) (bool, error) {
	conn, err := pgx.Connect(ctx, d.owner)
	if err != nil {
		return false, err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	var used bool
	err = conn.QueryRow(ctx, `select to_regclass('clinic') is not null`).Scan(&used)
	return used, err
}
