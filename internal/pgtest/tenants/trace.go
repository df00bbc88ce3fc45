package tenants

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

func texts(ids ...fmt.Stringer) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id.String()
	}
	return out
}

// Traces returns texts and ids of the family that only those who reach it may
// see.
func (f Family) Traces() []string {
	return append(texts(f.ID, f.Person, f.Free, f.Learner, f.Teaching, f.Recorded, f.Invitation, f.Device, f.Assignment, f.Past,
		f.Placement, f.Finished, f.Last, f.Recording, f.Running, f.Quarantined, f.Amendment, f.Decision, f.Verdict, f.Talk, f.SkillNote, f.Training, f.Fidelity, f.Review, f.Action, f.ClinicAction, f.ToClinic, f.ToFamily, f.Incident), f.Mark)
}

// StaffTraces returns texts and ids that staff may see and other families may
// not.
func (f Family) StaffTraces() []string {
	return append(texts(f.Caregiver, f.Supervisor, f.Trainee, f.Program, f.Version, f.Skill, f.HelpScale), f.AccountMark, f.LibraryMark)
}

// Traces returns texts and ids that reveal anything of the clinic to another
// one.
func (c Clinic) Traces() []string {
	out := append(texts(c.ID, c.Administrator, c.Lead, c.Office, c.Fresh, c.SetupLink, c.Unwritten, c.Spare, c.SpareVersion, c.Tombstone, c.Lost, c.PhoneKey), c.Mark)
	for _, f := range c.Families {
		out = append(append(out, f.Traces()...), f.StaffTraces()...)
	}
	return out
}

// Found returns the first of the traces that occurs in text, or "".
func Found(text string, traces []string) string {
	text = strings.ToLower(text)
	for _, trace := range traces {
		if strings.Contains(text, strings.ToLower(trace)) {
			return trace
		}
	}
	return ""
}

// Row is one row of the database as text, with its clinic and family, if any.
type Row struct{ Table, Clinic, Family, Text string }

// Snapshot holds every row of every table except the sign-ins.
type Snapshot map[Row]bool

// Look reads the whole database, bypassing every policy.
func Look(t testing.TB, bypass *pgxpool.Pool) Snapshot {
	t.Helper()
	rows, err := bypass.Query(context.Background(), lookSQL(t, bypass))
	if err != nil {
		t.Fatal(err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByName[Row])
	if err != nil {
		t.Fatal(err)
	}
	s := make(Snapshot, len(all))
	for _, r := range all {
		s[r] = true
	}
	return s
}

// lookSQL returns one statement that reads all tables.
func lookSQL(t testing.TB, bypass *pgxpool.Pool) string {
	t.Helper()
	var sql string
	err := bypass.QueryRow(context.Background(), `select string_agg(format(
			'select %L as "table", coalesce(%s::text, '''') as clinic, coalesce(%s::text, '''') as family, x::text as text from %I x', c.relname,
			case when c.relname = 'clinic' then 'id' when has.clinic then 'clinic_id' else 'null' end,
			case when c.relname = 'family' then 'id' when has.family then 'family_id' else 'null' end, c.relname), ' union all ')
		from pg_class c, lateral (select
			exists (select from pg_attribute a where a.attrelid = c.oid and a.attname = 'clinic_id') as clinic,
			exists (select from pg_attribute a where a.attrelid = c.oid and a.attname = 'family_id') as family) has
		where c.relnamespace = 'public'::regnamespace and c.relkind = 'r' and c.relname <> 'sessions'`).Scan(&sql)
	if err != nil {
		t.Fatal(err)
	}
	return sql
}

// Minus returns the rows of s that are not in o.
func (s Snapshot) Minus(o Snapshot) []Row {
	var out []Row
	for r := range s {
		if !o[r] {
			out = append(out, r)
		}
	}
	return out
}
