package postgres_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

func owner(t *testing.T, pg *pgtest.DB) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), pg.OwnerURL)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(t.Context()) })
	return conn
}

// everything returns each row of each table as text, bypassing every policy.
func everything(t *testing.T, pg *pgtest.DB) map[string][]string {
	t.Helper()
	rows, err := pg.Bypass.Query(t.Context(), `select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' order by 1`)
	if err != nil {
		t.Fatal(err)
	}
	tables, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]string{}
	for _, table := range tables {
		rows, err := pg.Bypass.Query(t.Context(), fmt.Sprintf("select t::text from %s t order by 1", pgx.Identifier{table}.Sanitize()))
		if err != nil {
			t.Fatal(err)
		}
		if all[table], err = pgx.CollectRows(rows, pgx.RowTo[string]); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// An export covers every table of a family, nothing of another family, and
// nothing that grants access.
func TestExportFamily(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	f, other := w.Here.Families[0], w.Here.Families[1]
	for table, column := range map[string]string{"reading": "body", "decision": "reading"} {
		if _, err := pg.Bypass.Exec(t.Context(), fmt.Sprintf(`update %s set %[2]s = coalesce(%[2]s, '{}') || '{"forecast": {"sessions": 10}, "idle_from": "1999-01-01 %[1]s"}'`, table, column)); err != nil {
			t.Fatal(err)
		}
	}
	tables, text := map[string]bool{}, ""
	err := postgres.UnscopedExport(t.Context(), owner(t, pg), f.ID, func(table string, row json.RawMessage) error {
		tables[table] = true
		text += string(row) + "\n"
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for table, rows := range everything(t, pg) {
		for _, row := range rows {
			if strings.Contains(row, f.ID.String()) && table != "audit" && !tables[table] {
				t.Errorf("the export has no row of %s", table)
			}
		}
	}
	if !strings.Contains(text, f.Mark) || strings.Contains(text, other.Mark) || strings.Contains(text, other.ID.String()) || strings.Contains(text, "token_hash") {
		t.Error("the export lacks a row of the family or has one of another family")
	}
	if strings.Contains(text, "forecast") || !strings.Contains(text, "1999-01-01 reading") || !strings.Contains(text, "1999-01-01 decision") {
		t.Error("the export has a forecast, or lacks the rest of a reading")
	}
	if err := postgres.UnscopedExport(t.Context(), owner(t, pg), newel.NewID[newel.FamilyID](), nil); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("unknown family: %v", err)
	}
}

// After erasing, no table holds anything of the family except the ids of its
// recordings and the audit trail. Rows of other families are unchanged.
func TestEraseFamily(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	f, other := w.Here.Families[0], w.Here.Families[1]
	var name string
	if err := pg.Bypass.QueryRow(t.Context(), `select name from family where id = $1`, f.ID).Scan(&name); err != nil {
		t.Fatal(err)
	}
	conn, before := owner(t, pg), everything(t, pg)
	if _, err := postgres.UnscopedErase(t.Context(), conn, f.ID, "Somebody else", tenants.Now); !errors.Is(err, newel.ErrConflict) {
		t.Errorf("with the wrong name: %v", err)
	}
	if got := everything(t, pg); fmt.Sprint(got) != fmt.Sprint(before) {
		t.Error("a refused erase changed something")
	}
	gone, err := postgres.UnscopedErase(t.Context(), conn, f.ID, name, tenants.Now)
	if err != nil || gone.Recordings == 0 || gone.Accounts == 0 {
		t.Fatalf("%+v, %v", gone, err)
	}
	after := everything(t, pg)
	for table, rows := range after {
		for _, row := range rows {
			if strings.Contains(row, f.Mark) {
				t.Errorf("left in %s: %s", table, row)
			}
			if table == "tombstone" || table == "audit" {
				continue
			}
			for _, id := range []fmt.Stringer{f.ID, f.Learner, f.Person, f.Caregiver, f.Placement, f.Recording, f.Quarantined} {
				if strings.Contains(row, id.String()) {
					t.Errorf("left in %s: %s", table, row)
				}
			}
		}
		for _, row := range before[table] {
			if strings.Contains(row, other.Mark) && !strings.Contains(strings.Join(rows, "\n"), row) {
				t.Errorf("erased from %s although it belongs to another family: %s", table, row)
			}
		}
	}
	for _, id := range []fmt.Stringer{f.Recording, f.Quarantined} {
		if !strings.Contains(strings.Join(after["tombstone"], "\n"), id.String()) {
			t.Errorf("no phone is told to forget %s", id)
		}
	}
	// The policies apply to the owner again.
	list, err := postgres.UnscopedFamilies(t.Context(), conn)
	if err != nil || len(list) != 3 {
		t.Errorf("%d families on file, %v", len(list), err)
	}
	var seen int
	if err := conn.QueryRow(t.Context(), `select count(*) from family`).Scan(&seen); err != nil || seen != 0 {
		t.Errorf("the owner sees %d families without a scope, %v", seen, err)
	}
}
