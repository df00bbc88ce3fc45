package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/demo"
	"newel/internal/httpd"
	"newel/internal/postgres"
)

// prepare gets the clinic ready and says where to click: the first
// administrator's link, or the links of the invented clinic.
func prepare(ctx context.Context, std stdio, cfg config.Config, store *postgres.DB, application *app.App, base *url.URL, invented bool) (*httpd.Demo, error) {
	if invented {
		return prepareDemo(ctx, std, cfg, store, base)
	}
	link, created, err := application.FirstRun(ctx)
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(std.out, "\nNewel answers on %s\n", base)
	if created {
		fmt.Fprintf(std.out, "\nNobody can sign in yet. Open this link to set the clinic up; it works once, for seven days:\n\n  %s\n\n", base.JoinPath(link))
	}
	return nil, nil
}

// accessFile remembers, beside the data, which accounts the links of the
// invented clinic sign in as.
const accessFile = "demo.json"

func prepareDemo(ctx context.Context, std stdio, cfg config.Config, store *postgres.DB, base *url.URL) (*httpd.Demo, error) {
	access, err := readAccess(cfg)
	if errors.Is(err, fs.ErrNotExist) {
		clock := &demo.Clock{}
		access, err = demo.Seed(ctx, app.New(store.WithClock(clock.Now), logger(stdio{err: io.Discard}), clock.Now), clock, time.Now())
		if err == nil {
			err = keepAccess(cfg, access)
		}
	}
	if err != nil {
		return nil, err
	}
	d := &httpd.Demo{Key: rand.Text(), Clinic: access.Clinic, Accounts: access.Accounts}
	fmt.Fprintf(std.out, "\nNewel answers on %s with an invented clinic. These links sign in, behind a button:\n\n", base)
	for _, who := range []struct{ part, says string }{
		{"supervisor", "Mara, supervisor"},
		{"caregiver", "Sari, caregiver of Kavi (best at phone size)"},
		{"orla", "Orla, caregiver of Wren"},
		{"lubna", "Lubna, caregiver of Rami"},
		{"tomas", "Tomas, supervisor without a caseload yet"},
		{"trainee", "Priya, trainee"},
		{"office", "Jun, office"},
	} {
		fmt.Fprintf(std.out, "  %-46s %s\n", who.says, base.JoinPath("demo", d.Key, who.part))
	}
	fmt.Fprintln(std.out, "\nUse two browsers, or one private window, to be two people at once. Ctrl-C stops.")
	return d, nil
}

func readAccess(cfg config.Config) (demo.Access, error) {
	var access demo.Access
	b, err := os.ReadFile(filepath.Join(cfg.DataDir, accessFile))
	if err != nil {
		return access, err
	}
	return access, json.Unmarshal(b, &access)
}

func keepAccess(cfg config.Config, access demo.Access) error {
	b, err := json.Marshal(access)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(cfg.DataDir, 0o755); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(cfg.DataDir, accessFile), b, 0o600)
}
