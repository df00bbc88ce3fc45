// Package migrations holds the database schema as numbered SQL files and
// applies them. Migrations only go forward.
package migrations

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

// FS holds the migrations.
//
//go:embed *.sql
var FS embed.FS

// Up applies all pending migrations to the database at ownerURL. Processes may
// call it concurrently: one migrates, the others wait. The owner is a plain
// role, so policies under FORCE bind it too. With row_security = off, a policy
// that would hide rows from a migration causes an error instead.
func Up(ctx context.Context, ownerURL string) error {
	provider, closeDB, err := open(ownerURL)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	defer closeDB()
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

// Pending reports whether the database lacks any migration.
func Pending(ctx context.Context, ownerURL string) (bool, error) {
	provider, closeDB, err := open(ownerURL)
	if err != nil {
		return false, fmt.Errorf("pending migrations: %w", err)
	}
	defer closeDB()
	return provider.HasPending(ctx)
}

// Latest returns the number of the newest migration, which the application
// requires.
func Latest() int64 {
	var latest int64
	names, _ := fs.Glob(FS, "*.sql")
	for _, name := range names {
		if n, err := goose.NumericComponent(name); err == nil && n > latest {
			latest = n
		}
	}
	return latest
}

func open(ownerURL string) (*goose.Provider, func(), error) {
	conf, err := pgx.ParseConfig(ownerURL)
	if err != nil {
		return nil, nil, err
	}
	conf.RuntimeParams["row_security"] = "off"
	db := sql.OpenDB(stdlib.GetConnector(*conf))
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		_ = db.Close()
		return nil, nil, err
	}
	provider, err := goose.NewProvider(goose.DialectPostgres, db, FS, goose.WithSessionLocker(locker))
	if err != nil {
		_ = db.Close()
		return nil, nil, err
	}
	return provider, func() { _ = db.Close() }, nil
}
