package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/url"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/demo"
	"newel/internal/httpd"
	"newel/internal/postgres"
)

// doors are the links into the invented clinic, in the order in which a
// newcomer should open them.
var doors = []struct {
	title string
	links [][2]string // the last part of the link, and the person it signs in
}{
	{"Start here, on a computer: a supervisor's caseload", [][2]string{
		{"supervisor", "Mara, lead supervisor, sees all six families"},
		{"tomas", "Tomas, supervisor of Teo and Signe"},
	}},
	{"Then a family's phone, best in a narrow window", [][2]string{
		{"caregiver", "Sari, Kavi's mother (washing hands, hiding)"},
		{"orla", "Orla, Wren's mother (a game paused after a no)"},
		{"cian", "Cian, Wren's father"},
		{"lubna", "Lubna, Rami's mother (asking for a break)"},
		{"sami", "Sami, Rami's father"},
		{"temi", "Temi, Dayo's mother (has a question to answer)"},
		{"andreu", "Andreu, Teo's father"},
		{"lola", "Lola, Teo's aunt"},
		{"elin", "Elin, Signe's mother"},
		{"nils", "Nils, Signe's father, in the other home"},
	}},
	{"The rest of the clinic", [][2]string{
		{"trainee", "Priya, trainee, who writes drafts"},
		{"office", "Jun, office, who sees contacts and consents"},
	}},
}

// prepareDemo fills an empty database with the invented clinic, or finds it
// there, and prints the sign-in links.
func prepareDemo(ctx context.Context, std stdio, application *app.App, base *url.URL) (*httpd.Demo, error) {
	access, found, err := demo.Find(ctx, application)
	if err == nil && !found {
		access, err = demo.Seed(ctx, application, time.Now())
	}
	if err != nil {
		return nil, err
	}
	d := &httpd.Demo{Key: rand.Text(), Clinic: access.Clinic, Accounts: access.Accounts}
	fmt.Fprintf(std.out, "\nNewel is running at %s with an invented clinic. Each link opens a page with a sign-in button.\n", base)
	for _, group := range doors {
		fmt.Fprintf(std.out, "\n%s\n", group.title)
		for _, link := range group.links {
			fmt.Fprintf(std.out, "  %-52s %s\n", link[1], base.JoinPath("demo", d.Key, link[0]))
		}
	}
	fmt.Fprintln(std.out, "\nTo be two people at once, use two browsers or a private window. Ctrl-C stops Newel; newel demo reset starts over.")
	return d, nil
}

// runDemo empties the invented clinic and fills it again.
func runDemo(ctx context.Context, std stdio, args []string) error {
	if len(args) == 0 || args[0] != "reset" {
		return errors.New("use newel demo reset: it empties the invented clinic and fills it again")
	}
	return withDatabase(ctx, std, "demo", args[1:], func(cfg config.Config, db *database, _ []string, log *slog.Logger) error {
		if err := db.migrate(ctx, cfg, log); err != nil {
			return err
		}
		store, err := postgres.Open(ctx, db.app, time.Now)
		if err != nil {
			return err
		}
		defer store.Close()
		if err := refill(ctx, db.owner, app.New(store, logger(stdio{err: io.Discard}), time.Now)); err != nil {
			return err
		}
		fmt.Fprintln(std.out, "The invented clinic has been reset. Start it with newel run --demo.")
		return nil
	})
}

// refill empties a database that holds all or part of the invented clinic, and
// fills it again. It leaves any other database unchanged.
func refill(ctx context.Context, ownerURL string, application *app.App) error {
	_, found, err := demo.Find(ctx, application)
	switch {
	case errors.Is(err, demo.ErrNotEmpty):
		return errors.New("this database holds a clinic that is not the invented one, so nothing was changed; newel demo reset never empties a real clinic")
	case err != nil && !errors.Is(err, demo.ErrHalf):
		return err
	case found || err != nil:
		if err := empty(ctx, ownerURL); err != nil {
			return err
		}
	}
	_, err = demo.Seed(ctx, application, time.Now())
	return err
}

// empty removes every row from Newel's tables: those of clinics, the clinics,
// and sign-ins. It keeps the migration history and anything else that an
// operator stores in the same database.
func empty(ctx context.Context, ownerURL string) error {
	conn, err := pgx.Connect(ctx, ownerURL)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	rows, err := conn.Query(ctx, `select t.tablename from pg_tables t where t.schemaname = 'public' and (t.tablename in ('clinic', 'sessions')
		or exists (select from information_schema.columns c where c.table_schema = 'public' and c.table_name = t.tablename and c.column_name = 'clinic_id'))`)
	if err != nil {
		return err
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	for i, name := range names {
		names[i] = pgx.Identifier{"public", name}.Sanitize()
	}
	if _, err := conn.Exec(ctx, "truncate "+strings.Join(names, ", ")); err != nil {
		return fmt.Errorf("empty the invented clinic: %w", err)
	}
	return nil
}
