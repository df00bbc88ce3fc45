package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/config"
	"newel/internal/newel"
	"newel/internal/postgres"
)

const familyHelp = `newel family list
    every family: its id and its name

newel family export ID > FILE
    the whole record of a family, one JSON object per line: {"table": …, "row": …}.
    The tables are described in docs/entities.md. Sign-in data is left out.
    This is health data: protect the file like a database backup.

newel family erase ID NAME
    permanently erases a family, its caregivers' accounts and phones, its
    learners, and everything recorded, evaluated, decided and written. NAME is
    the family's name; it guards against erasing the wrong family. Export first
    if the law requires you to keep the record. Earlier database backups still
    contain it.`

// runFamily exports or erases a family's record.
func runFamily(ctx context.Context, std stdio, args []string) error {
	if len(args) == 0 || args[0] == "help" {
		fmt.Fprintln(std.out, familyHelp)
		return nil
	}
	return withDatabase(ctx, std, "family", args[1:], func(_ config.Config, db *database, rest []string, _ *slog.Logger) error {
		conn, err := pgx.Connect(ctx, db.owner)
		if err != nil {
			return err
		}
		defer conn.Close(ctx)
		return familyDeed(ctx, std, conn, args[0], rest)
	})
}

func familyDeed(ctx context.Context, std stdio, conn *pgx.Conn, deed string, rest []string) error {
	switch {
	case deed == "list" && len(rest) == 0:
		list, err := postgres.UnscopedFamilies(ctx, conn)
		for _, f := range list {
			fmt.Fprintln(std.out, f.ID, f.Name)
		}
		return err
	case deed == "export" && len(rest) == 1:
		return exportFamily(ctx, std, conn, rest[0])
	case deed == "erase" && len(rest) == 2:
		return eraseFamily(ctx, std, conn, rest[0], rest[1])
	}
	return errors.New("use newel family list, newel family export ID or newel family erase ID NAME; see newel family help")
}

func exportFamily(ctx context.Context, std stdio, conn *pgx.Conn, text string) error {
	id, err := newel.ParseID[newel.FamilyID](text)
	if err != nil {
		return noFamily(text, err)
	}
	out := json.NewEncoder(std.out)
	err = postgres.UnscopedExport(ctx, conn, id, func(table string, row json.RawMessage) error {
		return out.Encode(map[string]any{"table": table, "row": row})
	})
	return noFamily(text, err)
}

func eraseFamily(ctx context.Context, std stdio, conn *pgx.Conn, text, name string) error {
	id, err := newel.ParseID[newel.FamilyID](text)
	if err != nil {
		return noFamily(text, err)
	}
	gone, err := postgres.UnscopedErase(ctx, conn, id, name, time.Now())
	if errors.Is(err, newel.ErrConflict) {
		return fmt.Errorf("nothing was erased: %q is not the name of family %s, or one of its people also works for the clinic (remove that person from the family first)", name, text)
	}
	if err == nil {
		fmt.Fprintf(std.out, "Erased. Sessions: %d; accounts: %d. Earlier database backups still contain them.\n", gone.Recordings, gone.Accounts)
	}
	return noFamily(text, err)
}

// noFamily turns ErrNotFound into an error that names the unknown family.
func noFamily(text string, err error) error {
	if errors.Is(err, newel.ErrNotFound) {
		return fmt.Errorf("there is no family %q: newel family list shows all of them", text)
	}
	return err
}
