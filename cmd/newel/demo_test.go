package main

import (
	"io"
	"log/slog"
	"net/url"
	paths "path"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/demo"
	"newel/internal/pgtest"
	"newel/internal/postgres"
)

// setUpClinic sets up a clinic as its first administrator would.
func setUpClinic(t *testing.T, db *pgtest.DB, name, mail string) *app.App {
	t.Helper()
	a := app.New(postgres.FromPool(db.App, time.Now), slog.New(slog.NewTextHandler(io.Discard, nil)), time.Now)
	link, _, err := a.FirstRun(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	const password = "seven grey herons at noon"
	_, err = a.FinishSetup(t.Context(), paths.Base(link), app.SetupInput{
		Clinic: name, TimeZone: "Europe/Lisbon", Name: "Ada Quill", Email: mail, Password: password, Again: password,
	})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestDemoRefusesAnotherClinic checks that neither starting nor resetting a
// demo touches a database that holds anything else.
func TestDemoRefusesAnotherClinic(t *testing.T) {
	t.Parallel()
	ctx, db := t.Context(), pgtest.New(t)
	a := setUpClinic(t, db, "Alder Lane", "ada@alder.example")
	before := rowCounts(t, db)
	if err := refill(ctx, db.OwnerURL, a); err == nil || !strings.Contains(err.Error(), "not the invented one") {
		t.Errorf("reset: %v, want refused", err)
	}
	if _, err := prepareDemo(ctx, stdio{out: io.Discard}, a, &url.URL{}); err == nil || !strings.Contains(err.Error(), "NEWEL_DATA_DIR") {
		t.Errorf("run --demo: %v, want an error that says what to do", err)
	}
	for name, n := range rowCounts(t, db) {
		if n != before[name] {
			t.Errorf("%s: %d rows, were %d", name, n, before[name])
		}
	}
}

// TestDemoReset checks that run refuses a partly filled demo, and that
// reset empties it completely and fills it again.
func TestDemoReset(t *testing.T) {
	t.Parallel()
	ctx, db := t.Context(), pgtest.New(t)
	a := setUpClinic(t, db, demo.ClinicName, "mara@kestrel-yard.example")
	if _, err := prepareDemo(ctx, stdio{out: io.Discard}, a, &url.URL{}); err == nil || !strings.Contains(err.Error(), "newel demo reset") {
		t.Errorf("run --demo on a partly filled demo: %v, want an error that says what to do", err)
	}
	if err := empty(ctx, db.OwnerURL); err != nil {
		t.Fatal(err)
	}
	for name, n := range rowCounts(t, db) {
		if n != 0 && name != "goose_db_version" {
			t.Errorf("%s has %d rows after emptying", name, n)
		}
	}
	setUpClinic(t, db, demo.ClinicName, "mara@kestrel-yard.example")
	if err := refill(ctx, db.OwnerURL, a); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	found, err := prepareDemo(ctx, stdio{out: &out}, a, &url.URL{Scheme: "http", Host: "localhost"})
	if err != nil {
		t.Fatal(err)
	}
	if n := rowCounts(t, db); n["clinic"] != 1 || n["family"] != 6 {
		t.Errorf("%d clinics, %d families; want one with six", n["clinic"], n["family"])
	}
	for part := range found.Accounts {
		if !strings.Contains(out.String(), "/"+part+"\n") {
			t.Errorf("no link is printed for %s:\n%s", part, &out)
		}
	}
	for _, group := range doors {
		for _, link := range group.links {
			if found.Accounts[link[0]].IsZero() {
				t.Errorf("the link for %s does not work", link[0])
			}
		}
	}
}

// rowCounts returns the number of rows in each table.
func rowCounts(t *testing.T, db *pgtest.DB) map[string]int {
	t.Helper()
	rows, err := db.Bypass.Query(t.Context(), `select tablename from pg_tables where schemaname = 'public'`)
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]int{}
	for _, name := range names {
		var n int
		if err := db.Bypass.QueryRow(t.Context(), "select count(*) from "+pgx.Identifier{name}.Sanitize()).Scan(&n); err != nil {
			t.Fatal(err)
		}
		counts[name] = n
	}
	return counts
}
