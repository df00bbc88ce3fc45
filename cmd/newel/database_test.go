package main

import (
	"io"
	"log/slog"
	"path/filepath"
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/config"
	"newel/internal/embeddedpg"
)

// TestDumpBeforeMigration checks that a database in use is dumped before it is
// migrated, and a new one is not.
func TestDumpBeforeMigration(t *testing.T) {
	t.Parallel()
	ctx, dir := t.Context(), folder(t)
	cfg := config.Config{DataDir: dir, DumpDir: filepath.Join(dir, "dumps"), DumpKeep: 3}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	db, err := openDatabase(ctx, cfg, log)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := db.stop(); err != nil {
			t.Error(err)
		}
	}()
	dumps := func() int {
		t.Helper()
		names, err := embeddedpg.Dumps(cfg.DumpDir)
		if err != nil {
			t.Fatal(err)
		}
		return len(names)
	}
	if err := db.migrate(ctx, cfg, log); err != nil || dumps() != 0 {
		t.Fatalf("first migration: %v, %d dumps", err, dumps())
	}
	if err := db.migrate(ctx, cfg, log); err != nil || dumps() != 0 {
		t.Fatalf("nothing to migrate: %v, %d dumps", err, dumps())
	}
	// Mark the newest migration as pending. It cannot run twice, so migrating
	// fails, but only after the dump.
	conn, err := pgx.Connect(ctx, db.owner)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, `delete from goose_db_version where version_id = (select max(version_id) from goose_db_version)`); err != nil {
		t.Fatal(err)
	}
	if err := db.migrate(ctx, cfg, log); err == nil {
		t.Error("a migration ran twice")
	}
	if dumps() != 1 {
		t.Errorf("%d dumps before the migration, want 1", dumps())
	}
}
