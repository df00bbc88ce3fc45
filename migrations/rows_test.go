package migrations_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
	"newel/migrations"
)

var update = flag.Bool("update", false, "rewrite docs/schema.sql, docs/entities.md and the kept rows")

// released is the last migration of the first release. Migrations up to it may
// still be edited; later ones must preserve rows.
const released = 6

// kept is one row as stored in an older schema.
type kept struct {
	Table string          `json:"table"`
	Row   json.RawMessage `json:"row"`
}

// rowsFile returns the file with rows of every table after a migration. The
// newest migration has one, so that the next can be tested on it.
func rowsFile(version int64) string {
	return filepath.Join("testdata", fmt.Sprintf("rows_%05d.jsonl", version))
}

// TestRowsDrift checks that there are stored rows for every table of the
// current schema, so that the next migration can be tested on them.
func TestRowsDrift(t *testing.T) {
	t.Parallel()
	version := migrations.Latest()
	if *update {
		pg, _ := tenants.New(t)
		writeRows(t, pg.Bypass, rowsFile(version))
	}
	pg := pgtest.New(t)
	loadRows(t, pg.Bypass, version)
	for table, n := range counts(t, pg.Bypass) {
		if n == 0 {
			t.Errorf("%s has no row in %s: go test ./migrations -run RowsDrift -update", table, rowsFile(version))
		}
	}
}

// TestRowsSurvive migrates rows of every table through each migration since the
// first release and checks that none is lost.
func TestRowsSurvive(t *testing.T) {
	t.Parallel()
	for version := int64(released + 1); version <= migrations.Latest(); version++ {
		t.Run(fmt.Sprint(version), func(t *testing.T) {
			t.Parallel()
			pg := pgtest.NewWith(t, empty)
			if err := migrations.UpTo(t.Context(), pg.OwnerURL, version-1); err != nil {
				t.Fatal(err)
			}
			loadRows(t, pg.Bypass, keptUpTo(t, version-1))
			before := counts(t, pg.Bypass)
			if err := migrations.UpTo(t.Context(), pg.OwnerURL, version); err != nil {
				t.Fatal(err)
			}
			after := counts(t, pg.Bypass)
			for table, n := range before {
				if m, ok := after[table]; ok && m != n {
					t.Errorf("%s had %d rows and has %d", table, n, m)
				}
			}
		})
	}
}

// keptUpTo returns the newest migration up to version that has stored rows. Of
// several migrations made at the same time, only the last has them all.
func keptUpTo(t *testing.T, version int64) int64 {
	t.Helper()
	for ; version >= released; version-- {
		if _, err := os.Stat(rowsFile(version)); err == nil {
			return version
		}
	}
	t.Fatal("there are no stored rows")
	return 0
}

func writeRows(t *testing.T, db *pgxpool.Pool, file string) {
	t.Helper()
	var out bytes.Buffer
	for _, table := range inOrder(t, db) {
		for _, row := range column[string](t, db, fmt.Sprintf(`select row_to_json(x)::text from %s x order by 1`, table)) {
			line, err := json.Marshal(kept{table, json.RawMessage(row)})
			if err != nil {
				t.Fatal(err)
			}
			out.Write(append(line, '\n'))
		}
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func loadRows(t *testing.T, db *pgxpool.Pool, version int64) {
	t.Helper()
	b, err := os.ReadFile(rowsFile(version))
	if err != nil {
		t.Fatalf("%v: with migrations up to %d only, go test ./migrations -run RowsDrift -update", err, version)
	}
	lines := bufio.NewScanner(bytes.NewReader(b))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var k kept
		if err := json.Unmarshal(lines.Bytes(), &k); err != nil {
			t.Fatal(err)
		}
		_, err := db.Exec(t.Context(), fmt.Sprintf(`insert into %[1]s select * from json_populate_record(null::%[1]s, $1)`, k.Table), string(k.Row))
		if err != nil {
			t.Fatalf("%s: %v: if the schema was changed in place, go test ./migrations -run RowsDrift -update", k.Table, err)
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
}

// inOrder lists the clinics' tables so that each comes after those it
// references.
func inOrder(t *testing.T, db *pgxpool.Pool) []string {
	t.Helper()
	left := slices.DeleteFunc(tables(t, db), func(table string) bool { return unlocked[table] != "" })
	refs := references(t, db)
	var done []string
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(table string) bool {
			return !slices.ContainsFunc(refs, func(r reference) bool {
				return r.From == table && r.To != table && !slices.Contains(done, r.To)
			})
		})
		if i < 0 {
			t.Fatalf("tables reference each other in a cycle: %v", left)
		}
		done, left = append(done, left[i]), slices.Delete(left, i, i+1)
	}
	return done
}

func counts(t *testing.T, db *pgxpool.Pool) map[string]int64 {
	t.Helper()
	n := map[string]int64{}
	for _, table := range tables(t, db) {
		if unlocked[table] == "" {
			n[table] = column[int64](t, db, `select count(*) from `+table)[0]
		}
	}
	return n
}
