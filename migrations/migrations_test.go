package migrations_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/migrations"
)

// empty is a database without any migration.
var empty = pgtest.Template{Key: "empty", Migrate: func(context.Context, string) error { return nil }}

// TestNumbers checks that migrations are numbered consecutively and only go
// forward.
func TestNumbers(t *testing.T) {
	t.Parallel()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil || len(names) == 0 {
		t.Fatalf("no migrations: %v", err)
	}
	form := regexp.MustCompile(`^(\d{5})_[a-z_]+\.sql$`)
	for i, name := range names {
		m := form.FindStringSubmatch(name)
		if m == nil {
			t.Errorf("%s is not named like 00001_what.sql", name)
			continue
		}
		if want := fmt.Sprintf("%05d", i+1); m[1] != want {
			t.Errorf("%s should have number %s", name, want)
		}
		sql := read(t, name)
		if !strings.HasPrefix(sql, "-- +goose Up\n") {
			t.Errorf("%s does not begin with -- +goose Up", name)
		}
		if strings.Contains(sql, "+goose Down") {
			t.Errorf("%s goes back; migrations only go forward", name)
		}
	}
	if got, want := migrations.Latest(), int64(len(names)); got != want {
		t.Errorf("Latest is %d, want %d", got, want)
	}
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := fs.ReadFile(migrations.FS, name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestReady checks that Ready compares the schema with the required version.
func TestReady(t *testing.T) {
	t.Parallel()
	pg := pgtest.NewWith(t, empty)
	db := postgres.FromPool(pg.App, time.Now)
	if err := db.Ready(t.Context(), migrations.Latest()); err == nil {
		t.Error("an empty database is reported as ready")
	}
	pending(t, pg.OwnerURL, true)
	if err := migrations.UpTo(t.Context(), pg.OwnerURL, migrations.Latest()-1); err != nil {
		t.Fatal(err)
	}
	pending(t, pg.OwnerURL, true)
	if err := migrations.Up(t.Context(), pg.OwnerURL); err != nil {
		t.Fatal(err)
	}
	pending(t, pg.OwnerURL, false)
	if err := db.Ready(t.Context(), migrations.Latest()); err != nil {
		t.Errorf("migrated but not ready: %v", err)
	}
	if err := db.Ready(t.Context(), migrations.Latest()+1); err == nil {
		t.Error("an older schema than required is reported as ready")
	}
}

func pending(t *testing.T, ownerURL string, want bool) {
	t.Helper()
	got, err := migrations.Pending(t.Context(), ownerURL)
	if err != nil || got != want {
		t.Errorf("pending: %v, %v; want %v", got, err, want)
	}
}

// TestConcurrentMigrations checks that two processes that start together migrate only
// once.
func TestConcurrentMigrations(t *testing.T) {
	t.Parallel()
	pg := pgtest.NewWith(t, empty)
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			if err := migrations.Up(context.Background(), pg.OwnerURL); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for _, n := range column[int64](t, pg.Bypass, `select count(*) from goose_db_version where version_id > 0 group by version_id`) {
		if n != 1 {
			t.Errorf("a migration was applied %d times", n)
		}
	}
}

// TestMigratingRows shows how a later migration must change rows. A migration
// that ignores the policies fails instead of changing nothing, because the
// owner is a plain role that the policies bind too.
func TestMigratingRows(t *testing.T) {
	t.Parallel()
	pg := pgtest.New(t)
	ctx := t.Context()
	if _, err := pg.Bypass.Exec(ctx, `insert into clinic (id, name) values (gen_random_uuid(), 'Rows')`); err != nil {
		t.Fatal(err)
	}
	conf, err := pgx.ParseConfig(pg.OwnerURL)
	if err != nil {
		t.Fatal(err)
	}
	conf.RuntimeParams["row_security"] = "off" // as Up connects
	conn, err := pgx.ConnectConfig(ctx, conf)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	_, err = conn.Exec(ctx, `update clinic set name = name`)
	var refused *pgconn.PgError
	if !errors.As(err, &refused) || refused.Code != "42501" {
		t.Errorf("a migration that forgets the policies: %v; want it refused", err)
	}
	tag, err := conn.Exec(ctx, `alter table clinic no force row level security`)
	if err == nil {
		tag, err = conn.Exec(ctx, `update clinic set name = name`)
	}
	if err != nil || tag.RowsAffected() != 1 {
		t.Errorf("a migration that lifts the force for itself changed %d rows, %v", tag.RowsAffected(), err)
	}
}
