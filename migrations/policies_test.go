package migrations_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
)

// These tests query the tables directly with the application's role in some
// scope: they also cover queries that no store method makes yet.

// rows counts the rows that a statement affects in a scope. A refused statement
// affects none. The transaction is rolled back.
func rows(t *testing.T, pg *pgtest.DB, s newel.Scope, sql string, args ...any) int64 {
	t.Helper()
	tx, err := pg.App.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(t.Context()) }()
	families := ""
	for i, f := range s.Families {
		if i > 0 {
			families += ","
		}
		families += f.String()
	}
	standing, reach := "family", "families"
	if s.Staff {
		standing = "staff"
	}
	if s.WholeClinic {
		reach = "clinic"
	}
	if _, err := tx.Exec(t.Context(), `select set_config('newel.clinic', $1, true), set_config('newel.account', $2, true),
			set_config('newel.standing', $3, true), set_config('newel.reach', $4, true), set_config('newel.families', $5, true)`,
		s.Clinic.String(), s.Account.String(), standing, reach, families); err != nil {
		t.Fatal(err)
	}
	tag, err := tx.Exec(t.Context(), sql, args...)
	var refused *pgconn.PgError
	switch {
	case err == nil:
		return tag.RowsAffected()
	case errors.As(err, &refused) && (refused.Code == "42501" || refused.Code == "23503"): // refused by policies or rights; broken reference
		return 0
	}
	t.Fatalf("%s: %v", sql, err)
	return 0
}

// deedsOn returns the statements to try on the rows of a table.
func deedsOn(table, column string) map[string]string {
	where := fmt.Sprintf("where %s = $1", column)
	return map[string]string{
		"sees":    fmt.Sprintf("select from %s %s", table, where),
		"locks":   fmt.Sprintf("select from %s %s for update", table, where),
		"changes": fmt.Sprintf("update %s set %s = %s %s", table, column, column, where),
		"deletes": fmt.Sprintf("delete from %s %s", table, where),
	}
}

func TestFamilyRowsAreOutOfReach(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	victim, other, far := w.Here.Families[0], w.Here.Families[1], w.Elsewhere.Families[0]
	strangers := map[string]newel.Scope{
		"caregiver of another family":                    other.Scope(),
		"supervisor of another caseload":                 other.SupervisorScope(),
		"lead of another clinic":                         w.Elsewhere.LeadScope(),
		"caregiver in another clinic":                    far.Scope(),
		"another clinic's account that names the family": {Clinic: w.Elsewhere.ID, Account: far.Caregiver, Families: []newel.FamilyID{victim.ID}},
		"nobody": {},
	}
	list := append(familyTables(t, pg.Bypass), "audit", "family")
	for _, table := range list {
		column := "family_id"
		if table == "family" {
			column = "id"
		}
		for what, sql := range deedsOn(table, column) {
			for who, scope := range strangers {
				if n := rows(t, pg, scope, sql, victim.ID); n != 0 {
					t.Errorf("%s %s %d rows of %s", who, what, n, table)
				}
			}
		}
		if n := rows(t, pg, victim.SupervisorScope(), deedsOn(table, column)["sees"], victim.ID); n == 0 {
			t.Errorf("the family's supervisor sees no row of %s", table)
		}
		if table == "family" {
			continue
		}
		for who, scope := range map[string]newel.Scope{"caregiver": other.Scope(), "supervisor": other.SupervisorScope()} {
			sql := fmt.Sprintf("update %s set family_id = $1 where family_id = $2", table)
			if n := rows(t, pg, scope, sql, victim.ID, other.ID); n != 0 {
				t.Errorf("a %s moves %d own rows of %s into another family", who, n, table)
			}
		}
	}
}

func TestClinicRowsAreOutOfReach(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	for _, table := range tables(t, pg.Bypass) {
		if unlocked[table] != "" {
			continue
		}
		column := "clinic_id"
		if table == "clinic" {
			column = "id"
		}
		for what, sql := range deedsOn(table, column) {
			for who, scope := range map[string]newel.Scope{
				"lead of another clinic":      w.Elsewhere.LeadScope(),
				"caregiver in another clinic": w.Elsewhere.Families[0].Scope(),
				"nobody":                      {},
			} {
				if n := rows(t, pg, scope, sql, w.Here.ID); n != 0 {
					t.Errorf("%s %s %d rows of %s", who, what, n, table)
				}
			}
		}
		if n := rows(t, pg, w.Here.LeadScope(), deedsOn(table, column)["sees"], w.Here.ID); n == 0 && table != "form_sent" {
			t.Errorf("the clinic's lead sees no row of %s", table)
		}
	}
}

// TestWhatACaregiverSees checks, for every table that does not belong to
// families, which rows a caregiver may see and change.
func TestWhatACaregiverSees(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	f := w.Here.Families[0]
	for table, want := range map[string]struct{ sees, changes int64 }{
		"clinic":       {1, 0}, // the own
		"account":      {3, 0}, // the own, and the two who look after the family
		"credential":   {0, 0},
		"setup_link":   {0, 0},
		"device":       {1, 1}, // the own
		"program":      {1, 0}, // the one that the learner has
		"draft":        {0, 0},
		"draft_state":  {0, 0},
		"verdict":      {0, 0}, // of a family, and for staff
		"fidelity":     {0, 0}, // likewise
		"skill":        {0, 0},
		"skill_name":   {0, 0},
		"help_scale":   {0, 0},
		"skill_note":   {0, 0}, // of a family, and for staff
		"version":      {1, 0},
		"step":         {2, 0},
		"quarantine":   {1, 1}, // what was sent from the own phone
		"tombstone":    {1, 0}, // ids alone
		"form_sent":    {1, 0}, // the own
		"picture":      {1, 0}, // on a step that the learner is taught
		"step_picture": {1, 0},
		"phone_key":    {1, 0}, // of the clinic: what is sealed to it is opened in the name of who sends it
	} {
		column := "clinic_id"
		if table == "clinic" {
			column = "id"
		}
		deeds := deedsOn(table, column)
		if n := rows(t, pg, f.Scope(), deeds["sees"], w.Here.ID); n != want.sees {
			t.Errorf("a caregiver sees %d rows of %s, want %d", n, table, want.sees)
		}
		if n := rows(t, pg, f.Scope(), deeds["changes"], w.Here.ID); n != want.changes {
			t.Errorf("a caregiver may change %d rows of %s, want %d", n, table, want.changes)
		}
	}
	known := append(familyTables(t, pg.Bypass), "family", "audit", "sessions", "goose_db_version",
		"clinic", "account", "credential", "setup_link", "device", "program", "draft", "draft_state", "version", "step", "quarantine", "tombstone", "form_sent", "phone_key", "picture", "step_picture", "skill", "skill_name", "help_scale")
	for _, table := range tables(t, pg.Bypass) {
		if !slices.Contains(known, table) {
			t.Errorf("say what a caregiver sees of %s", table)
		}
	}
}

// TestKeysOpenOneRow checks that a transaction with only a key sees the row of
// that key and changes nothing.
func TestKeysOpenOneRow(t *testing.T) {
	t.Parallel()
	pg, _ := tenants.New(t)
	for _, table := range tables(t, pg.Bypass) {
		if unlocked[table] != "" {
			continue
		}
		err := pgx.BeginFunc(t.Context(), pg.App, func(tx pgx.Tx) error {
			if _, err := tx.Exec(t.Context(), `select set_config('newel.key', 'no such key', true)`); err != nil {
				return err
			}
			tag, err := tx.Exec(t.Context(), `select from `+table)
			if err == nil && tag.RowsAffected() != 0 {
				t.Errorf("a key that matches nothing opens %d rows of %s", tag.RowsAffected(), table)
			}
			return err
		})
		if err != nil {
			t.Errorf("%s: %v", table, err)
		}
	}
}
