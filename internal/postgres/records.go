package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/newel"
)

// The functions in this file serve the operator, who owns the tables. They
// export or erase a family's whole record. They have no scope and are called
// only from commands.

// FamilyOnFile is a family as the operator sees it.
type FamilyOnFile struct {
	Clinic newel.ClinicID
	ID     newel.FamilyID
	Name   string
}

// unlocked runs fn in a transaction in which the owner bypasses the policies of
// some tables. It locks out everyone else until it ends.
func unlocked(ctx context.Context, conn *pgx.Conn, tables []string, fn func(pgx.Tx) error) error {
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		if err := policies(ctx, tx, tables, "no force"); err != nil {
			return err
		}
		if err := fn(tx); err != nil {
			return err
		}
		return policies(ctx, tx, tables, "force")
	})
}

func policies(ctx context.Context, tx pgx.Tx, tables []string, how string) error {
	for _, table := range tables {
		if _, err := tx.Exec(ctx, fmt.Sprintf("alter table %s %s row level security", pgx.Identifier{table}.Sanitize(), how)); err != nil {
			return err
		}
	}
	return nil
}

// UnscopedFamilies lists every family.
func UnscopedFamilies(ctx context.Context, conn *pgx.Conn) (list []FamilyOnFile, err error) {
	defer wrap(&err, "families on file")
	err = unlocked(ctx, conn, []string{"family"}, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, `select clinic_id as clinic, id, name from family order by name, id`)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, pgx.RowToStructByNameLax[FamilyOnFile])
		return err
	})
	return list, err
}

func familyOnFile(ctx context.Context, conn *pgx.Conn, id newel.FamilyID) (FamilyOnFile, error) {
	list, err := UnscopedFamilies(ctx, conn)
	if err != nil {
		return FamilyOnFile{}, err
	}
	at := slices.IndexFunc(list, func(f FamilyOnFile) bool { return f.ID == id })
	if at < 0 {
		return FamilyOnFile{}, newel.ErrNotFound
	}
	return list[at], nil
}

// familyTables lists the tables whose rows belong to a family.
func familyTables(ctx context.Context, tx pgx.Tx) ([]string, error) {
	rows, err := tx.Query(ctx, `select c.relname::text from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attname = 'family_id' and a.attnotnull
		where c.relnamespace = 'public'::regnamespace and c.relkind = 'r' order by 1`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

// UnscopedExport passes every row of a family's record to row, table by table.
// It leaves out columns that only serve to grant access. It returns ErrNotFound
// if there is no such family.
func UnscopedExport(ctx context.Context, conn *pgx.Conn, id newel.FamilyID, row func(table string, row json.RawMessage) error) (err error) {
	defer wrap(&err, "export family %s", id)
	f, err := familyOnFile(ctx, conn, id)
	if err != nil {
		return err
	}
	return pgx.BeginTxFunc(ctx, conn, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `select set_config('newel.clinic', $1, true), set_config('newel.standing', 'staff', true), set_config('newel.reach', 'clinic', true)`, f.Clinic.String()); err != nil {
			return err
		}
		tables, err := familyTables(ctx, tx)
		if err != nil {
			return err
		}
		for _, table := range append([]string{"family"}, tables...) {
			column := "family_id"
			if table == "family" {
				column = "id"
			}
			rows, err := tx.Query(ctx, fmt.Sprintf(`select to_jsonb(t) - 'token_hash' from %s t where t.clinic_id = $1 and t.%s = $2`, pgx.Identifier{table}.Sanitize(), column), f.Clinic, id)
			if err != nil {
				return err
			}
			list, err := pgx.CollectRows(rows, pgx.RowTo[json.RawMessage])
			if err != nil {
				return err
			}
			for _, r := range list {
				if r, err = withoutForecast(table, r); err != nil {
					return err
				}
				if err := row(table, r); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// readingColumn names the column with an evaluator's reading, by table.
var readingColumn = map[string]string{"reading": "body", "decision": "reading"}

// withoutForecast removes the forecast from the row's reading: the command line
// computes it, but it is nothing to act on (criterion.Forecast).
func withoutForecast(table string, row json.RawMessage) (json.RawMessage, error) {
	column, has := readingColumn[table]
	if !has {
		return row, nil
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(row, &fields); err != nil {
		return nil, err
	}
	var body map[string]json.RawMessage
	if err := json.Unmarshal(fields[column], &body); err != nil || body == nil {
		return row, err
	}
	delete(body, "forecast")
	var err error
	if fields[column], err = json.Marshal(body); err != nil {
		return nil, err
	}
	return json.Marshal(fields)
}

// Erased counts what UnscopedErase has erased.
type Erased struct {
	Recordings, Accounts int64
}

// UnscopedErase erases a family with everything that belongs to it: its
// people's accounts and phones, its learners, and all recordings, readings,
// decisions and messages. Two things remain: the ids of its recordings, so that
// a phone that still holds one is told to forget it, and the clinic's audit
// trail, which holds only ids. As a guard, name must be the family's own. It
// returns ErrNotFound if there is no such family, and ErrConflict if the name
// does not match or an account of the family also belongs to staff.
func UnscopedErase(ctx context.Context, conn *pgx.Conn, id newel.FamilyID, name string, now time.Time) (gone Erased, err error) {
	defer wrap(&err, "erase family %s", id)
	f, err := familyOnFile(ctx, conn, id)
	if err != nil {
		return gone, err
	}
	if strings.TrimSpace(name) != f.Name {
		return gone, newel.ErrConflict
	}
	tables := []string{"family", "person", "account", "placement", "recording", "quarantine", "tombstone", "branch", "version", "audit"}
	err = unlocked(ctx, conn, tables, func(tx pgx.Tx) error {
		gone, err = erase(ctx, tx, f, now)
		return err
	})
	return gone, err
}

// quarantinedOf selects what is in quarantine for a family ($2) or its accounts ($4).
const quarantinedOf = `(account_id = any ($4::uuid[]) or placement_id in (select p.id from placement p where p.clinic_id = $1 and p.family_id = $2))`

func erase(ctx context.Context, tx pgx.Tx, f FamilyOnFile, now time.Time) (gone Erased, err error) {
	ids := func(sql string) (list []string, err error) {
		rows, err := tx.Query(ctx, sql, f.Clinic, f.ID)
		if err != nil {
			return nil, err
		}
		return pgx.CollectRows(rows, pgx.RowTo[string])
	}
	accounts, err := ids(`select distinct account_id::text from person where clinic_id = $1 and family_id = $2 and account_id is not null`)
	if err != nil {
		return gone, err
	}
	branches, err := ids(`select distinct version_id::text from branch where clinic_id = $1 and family_id = $2`)
	if err != nil {
		return gone, err
	}
	var staff int
	if err := tx.QueryRow(ctx, `select count(*) from account where clinic_id = $1 and id = any ($2::uuid[]) and capacities <> array['caregiver']`, f.Clinic, accounts).Scan(&staff); err != nil {
		return gone, err
	}
	if staff > 0 {
		return gone, newel.ErrConflict
	}
	for _, step := range []struct {
		sql   string
		args  []any
		count *int64
	}{
		{`insert into tombstone (clinic_id, id, erased_at)
			select clinic_id, id, $3::timestamptz from recording where clinic_id = $1 and family_id = $2
			union select clinic_id, id, $3::timestamptz from quarantine where clinic_id = $1 and ` + quarantinedOf + ` on conflict do nothing`, []any{f.Clinic, f.ID, now, accounts}, &gone.Recordings},
		{`delete from quarantine where clinic_id = $1 and $3::timestamptz is not null and ` + quarantinedOf, []any{f.Clinic, f.ID, now, accounts}, nil},
		{`delete from family where clinic_id = $1 and id = $2`, []any{f.Clinic, f.ID}, nil},
		{`delete from version where clinic_id = $1 and id = any ($2::uuid[])`, []any{f.Clinic, branches}, nil},
		{`delete from account where clinic_id = $1 and id = any ($2::uuid[])`, []any{f.Clinic, accounts}, &gone.Accounts},
		{`insert into audit (clinic_id, id, at, family_id, deed, subject) values ($1, $2, $3, $4, 'family.erased', $4)`, []any{f.Clinic, newel.NewID[newel.FamilyID](), now, f.ID}, nil},
	} {
		tag, err := tx.Exec(ctx, step.sql, step.args...)
		if err != nil {
			return gone, err
		}
		if step.count != nil {
			*step.count = tag.RowsAffected()
		}
	}
	return gone, nil
}
