package tenants_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
)

// unmarked lists texts and documents that carry no mark, because they are the
// program's own words, codes or numbers.
var unmarked = []string{
	"planned_session.kind", // a fixed word
	"family.time_zone", "family.language", "consent.kind", "invitation.token_hash", "assignment.state", "placement.step_key",
	"placement.strand_key", "placement.criterion", "placement.step_back", "placement.planned_help", "reading.status", "reading.body",
	"delivery.receipt", "amendment.change", "decision.kind", "decision.reading", "audit.deed",
	"reading.gist", "reading.latest", "reading.late", "decision.answered", "decision.help", "branch.step_key", "verdict.came", "skill_note.status", "training.state", "fidelity.watched", "agreed_action.whose", "agreed_action.outcome",
}

// TestEveryTableHasRows checks that every table has rows of both families of
// both clinics, and marks in every column that can hold what a person writes.
func TestEveryTableHasRows(t *testing.T) {
	t.Parallel()
	db, w := tenants.New(t)
	rows, err := db.Bypass.Query(t.Context(), `select c.relname::text as table, a.attname::text as column, a.atttypid in ('text'::regtype, 'jsonb'::regtype) as words,
			exists (select from pg_attribute f where f.attrelid = c.oid and f.attname = 'family_id' and f.attnotnull) as family
		from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped
		where c.relnamespace = 'public'::regnamespace and c.relkind = 'r' and c.relname not in ('sessions', 'goose_db_version') order by 1, 2`)
	if err != nil {
		t.Fatal(err)
	}
	columns, err := pgx.CollectRows(rows, pgx.RowToStructByName[struct {
		Table, Column string
		Words, Family bool
	}])
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range columns {
		for _, clinic := range []tenants.Clinic{w.Here, w.Elsewhere} {
			of := "clinic_id = $1"
			if c.Table == "clinic" {
				of = "id = $1"
			}
			if n := count(t, db, c.Table, of, clinic.ID); n == 0 {
				t.Errorf("no row of %s in clinic %s", c.Table, clinic.Mark)
			}
			if !c.Family {
				continue
			}
			for _, y := range clinic.Families {
				if count(t, db, c.Table, "family_id = $1", y.ID) == 0 {
					t.Errorf("no row of %s in family %s", c.Table, y.Mark)
				}
				if !c.Words || slices.Contains(unmarked, c.Table+"."+c.Column) {
					continue
				}
				if count(t, db, c.Table, fmt.Sprintf("family_id = $1 and %s::text like '%%%s%%'", c.Column, y.Mark), y.ID) == 0 {
					t.Errorf("no mark of %s in %s.%s", y.Mark, c.Table, c.Column)
				}
			}
		}
	}
}

func count(t *testing.T, db *pgtest.DB, table, where string, arg any) (n int) {
	t.Helper()
	if err := db.Bypass.QueryRow(t.Context(), fmt.Sprintf(`select count(*) from %s where %s`, table, where), arg).Scan(&n); err != nil {
		t.Fatalf("%s: %v", table, err)
	}
	return n
}
