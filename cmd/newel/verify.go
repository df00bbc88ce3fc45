package main

import (
	"context"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"time"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/criterion"
	"newel/internal/postgres"
)

// runRenewPhoneKeys creates a new encryption key for each clinic's phones.
func runRenewPhoneKeys(ctx context.Context, std stdio, args []string) error {
	return withDatabase(ctx, std, "renew-phone-keys", args, func(_ config.Config, db *database, _ []string, log *slog.Logger) error {
		store, err := postgres.Open(ctx, db.app, time.Now)
		if err != nil {
			return err
		}
		defer store.Close()
		n, err := app.New(store, log, time.Now).RenewPhoneKeys(ctx)
		fmt.Fprintf(std.out, "%d new keys; older keys are kept for what they sealed\n", n)
		return err
	})
}

// runVerify recomputes every reading as of its own time. Exit status 1 if any
// differs.
func runVerify(ctx context.Context, std stdio, args []string) error {
	return withDatabase(ctx, std, "verify", args, func(_ config.Config, db *database, _ []string, log *slog.Logger) error {
		store, err := postgres.Open(ctx, db.app, time.Now)
		if err != nil {
			return err
		}
		defer store.Close()
		found, err := app.New(store, log, time.Now).Verify(ctx)
		if err != nil {
			return err
		}
		for _, d := range found.Differences {
			fmt.Fprintf(std.out, "placement %s: stored %s, computed %s\n", d.Placement, d.Kept.Status, d.Again.Status)
			if d.Err != nil {
				fmt.Fprintf(std.out, "  %v\n", d.Err)
			}
		}
		fmt.Fprintf(std.out, "%d evaluated, %d differ, %d waiting to be evaluated\n", found.Readings, len(found.Differences), found.Stale)
		for _, version := range slices.Sorted(maps.Keys(found.Versions)) {
			fmt.Fprintf(std.out, "%d made by version %d of the evaluator", found.Versions[version], version)
			if version != criterion.EvaluatorVersion {
				fmt.Fprint(std.out, ", compared where its rules are today’s")
			}
			fmt.Fprintln(std.out)
		}
		if len(found.Differences) > 0 {
			return exitCode(1)
		}
		return nil
	})
}
