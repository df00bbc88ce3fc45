package migrations_test

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/pgtest"
)

// These tests read the database's own catalogue after every migration, so that
// a table added later cannot lack row-level security.

// unlocked lists the tables without row-level security, with the reason.
var unlocked = map[string]string{
	"sessions":         "belongs to the session library: no clinic, found only by the hash of an unguessable token, holds only ids",
	"goose_db_version": "belongs to the migration library: version numbers",
}

// noClinicKey lists the tables whose primary key does not start with
// clinic_id.
var noClinicKey = map[string]string{
	"clinic":           "its id is the clinic",
	"sessions":         unlocked["sessions"],
	"goose_db_version": unlocked["goose_db_version"],
}

// writtenOnce lists tables whose rows the application may insert but never
// update.
var writtenOnce = []string{"version", "step", "delivery", "amendment", "decision", "audit", "tombstone", "form_sent", "talk", "phone_key", "branch", "picture", "step_picture", "verdict", "training", "skill_name", "skill_note"}

// mayForget lists those of them whose rows it may delete: records that become
// useless with time, and unused pictures.
var mayForget = []string{"picture", "form_sent"}

func column[T any](t *testing.T, db *pgxpool.Pool, sql string, args ...any) []T {
	t.Helper()
	rows, err := db.Query(t.Context(), sql, args...)
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[T])
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func tables(t *testing.T, db *pgxpool.Pool) []string {
	t.Helper()
	return column[string](t, db, `select relname::text from pg_class
		where relnamespace = 'public'::regnamespace and relkind in ('r', 'p') order by relname`)
}

func TestEveryTableIsLocked(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, table := range tables(t, db) {
		if _, ok := unlocked[table]; ok {
			continue
		}
		var enabled, forced bool
		var policies int
		err := db.QueryRow(t.Context(), `select relrowsecurity, relforcerowsecurity,
				(select count(*) from pg_policy where polrelid = c.oid)
			from pg_class c where c.oid = $1::regclass`, table).Scan(&enabled, &forced, &policies)
		if err != nil {
			t.Fatal(err)
		}
		if !enabled || !forced || policies == 0 {
			t.Errorf("%s: row-level security enabled %v, forced %v, %d policies; want all three", table, enabled, forced, policies)
		}
	}
	for table := range unlocked {
		if !slices.Contains(tables(t, db), table) {
			t.Errorf("%s is exempt but does not exist", table)
		}
	}
}

func TestPrimaryKeysStartWithTheClinic(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, table := range tables(t, db) {
		if _, ok := noClinicKey[table]; ok {
			continue
		}
		key := keyColumns(t, db, table, "p")
		if len(key) != 1 || key[0][0] != "clinic_id" {
			t.Errorf("%s: primary key %v does not start with clinic_id", table, key)
		}
	}
}

// keyColumns returns the columns of each constraint of a kind: p primary, u
// unique.
func keyColumns(t *testing.T, db *pgxpool.Pool, table, kind string) [][]string {
	t.Helper()
	lists := column[string](t, db, `select (select string_agg(a.attname, ',' order by k.ord)
			from unnest(c.conkey) with ordinality k(num, ord)
			join pg_attribute a on a.attrelid = c.conrelid and a.attnum = k.num)
		from pg_constraint c where conrelid = $1::regclass and contype = $2::"char" order by conname`, table, kind)
	keys := make([][]string, len(lists))
	for i, l := range lists {
		keys[i] = strings.Split(l, ",")
	}
	return keys
}

// familyTables lists the tables whose rows belong to a family.
func familyTables(t *testing.T, db *pgxpool.Pool) []string {
	t.Helper()
	return column[string](t, db, `select c.relname::text from pg_class c
		join pg_attribute a on a.attrelid = c.oid and a.attname = 'family_id' and a.attnotnull
		where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'p') order by 1`)
}

// TestFamilyKeys checks that references to a family's row can include the
// family, so that they cannot point into another family. (Foreign keys bypass
// row-level security.)
func TestFamilyKeys(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, table := range familyTables(t, db) {
		pk := keyColumns(t, db, table, "p")[0]
		if !slices.Contains(pk, "id") { // nothing refers to it by its own id
			continue
		}
		want := []string{"clinic_id", "family_id", "id"}
		if !slices.ContainsFunc(keyColumns(t, db, table, "u"), func(k []string) bool { return slices.Equal(k, want) }) {
			t.Errorf("%s lacks unique (clinic_id, family_id, id)", table)
		}
	}
}

type reference struct {
	Name, From, To  string
	Columns, Target []string
	OnDelete        string
}

func references(t *testing.T, db *pgxpool.Pool) []reference {
	t.Helper()
	rows, err := db.Query(t.Context(), `select conname::text as name, conrelid::regclass::text as "from", confrelid::regclass::text as "to",
			confdeltype::text as on_delete,
			array(select a.attname::text from unnest(conkey) with ordinality k(num, ord)
				join pg_attribute a on a.attrelid = conrelid and a.attnum = k.num order by ord) as columns,
			array(select a.attname::text from unnest(confkey) with ordinality k(num, ord)
				join pg_attribute a on a.attrelid = confrelid and a.attnum = k.num order by ord) as target
		from pg_constraint where contype = 'f' and connamespace = 'public'::regnamespace order by conname`)
	if err != nil {
		t.Fatal(err)
	}
	refs, err := pgx.CollectRows(rows, pgx.RowToStructByName[reference])
	if err != nil {
		t.Fatal(err)
	}
	if len(refs) == 0 {
		t.Fatal("no foreign keys found")
	}
	return refs
}

func TestReferencesStayInTheClinicAndTheFamily(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	owned := familyTables(t, db)
	for _, r := range references(t, db) {
		if r.To == "clinic" {
			continue
		}
		if !same(r, "clinic_id") {
			t.Errorf("%s: %s refers to %s without its clinic", r.Name, r.From, r.To)
		}
		if slices.Contains(owned, r.From) && slices.Contains(owned, r.To) && !same(r, "family_id") {
			t.Errorf("%s: %s refers to %s without its family", r.Name, r.From, r.To)
		}
	}
}

// same reports whether the reference maps a column to the column of the same
// name.
func same(r reference, name string) bool {
	i := slices.Index(r.Columns, name)
	return i >= 0 && r.Target[i] == name
}

// doers are columns that name the account that did something. Accounts are
// deactivated and deleted only with their whole clinic, so indexes on these
// columns are not worth their cost on every write.
var doers = []string{"created_by", "recorded_by", "updated_by", "published_by", "made_by", "decided_by", "settled_by", "author_id"}

func TestReferencesAreIndexed(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, r := range references(t, db) {
		if r.To == "account" && r.OnDelete == "a" && slices.Contains(doers, r.Columns[len(r.Columns)-1]) {
			continue
		}
		indexes := column[string](t, db, `select (select string_agg(a.attname, ',' order by k.ord)
				from unnest(i.indkey::int2[]) with ordinality k(num, ord)
				join pg_attribute a on a.attrelid = i.indrelid and a.attnum = k.num)
			from pg_index i where indrelid = $1::regclass and indpred is null and indexprs is null`, r.From)
		if !slices.ContainsFunc(indexes, func(list string) bool { return leads(strings.Split(list, ","), r.Columns) }) {
			t.Errorf("%s: no index of %s begins with (%s)", r.Name, r.From, strings.Join(r.Columns, ", "))
		}
	}
}

// leads reports whether the index finds rows by the columns: they must be its
// first ones in any order. clinic_id and family_id follow from the id.
func leads(index, columns []string) bool {
	needed := slices.DeleteFunc(slices.Clone(columns), func(c string) bool { return c == "family_id" && len(columns) > 2 })
	for _, set := range [][]string{columns, needed} {
		if len(index) < len(set) {
			continue
		}
		head := slices.Clone(index[:len(set)])
		slices.Sort(head)
		if slices.Equal(head, slices.Sorted(slices.Values(set))) {
			return true
		}
	}
	return false
}

// subSelect matches a scope function called the way policies should call it.
var subSelect = regexp.MustCompile(`\( SELECT (newel_\w+)\(\) AS newel_\w+\)`)

// TestPoliciesReadTheScopeOnce checks that policies read settings in scalar
// sub-selects; otherwise each row parses them again.
func TestPoliciesReadTheScopeOnce(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	policies := column[string](t, db, `select tablename || '.' || policyname || ': ' || coalesce(qual, '') || ' / ' || coalesce(with_check, '')
		from pg_policies where schemaname = 'public' order by 1`)
	for _, p := range policies {
		rest := subSelect.ReplaceAllString(p, "")
		if strings.Contains(rest, "newel_") || strings.Contains(rest, "current_setting") {
			t.Errorf("reads the scope for each row: %s", p)
		}
		if rest == p {
			t.Errorf("does not read the scope at all: %s", p)
		}
	}
}

// TestPoliciesBindTheApplication checks that policies apply to all roles; a
// policy for other roles would leave the application's role without one.
func TestPoliciesBindTheApplication(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, p := range column[string](t, db, `select tablename || '.' || policyname from pg_policies
			where schemaname = 'public' and (roles <> '{public}' or permissive <> 'PERMISSIVE')`) {
		t.Errorf("%s does not apply to all roles", p)
	}
}

// TestListReadsTheScopeOnce checks the plan of a list over 2,400 rows:
// InitPlans that run once read the settings.
func TestListReadsTheScopeOnce(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	ctx := t.Context()
	for _, sql := range []string{
		`insert into clinic (id, name) values ('00000000-0000-7000-8000-000000000001', 'Plan')`,
		`insert into family (clinic_id, id, name, time_zone) values ('00000000-0000-7000-8000-000000000001', '00000000-0000-7000-8000-000000000002', 'Plan', 'UTC')`,
		`insert into learner (clinic_id, family_id, id, nickname)
			select '00000000-0000-7000-8000-000000000001', '00000000-0000-7000-8000-000000000002', gen_random_uuid(), 'n' || n from generate_series(1, 2400) n`,
		`analyze learner`,
	} {
		if _, err := db.Bypass.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	var plan []string
	err := pgx.BeginFunc(ctx, db.App, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `select set_config('newel.clinic', '00000000-0000-7000-8000-000000000001', true),
			set_config('newel.families', '00000000-0000-7000-8000-000000000002', true)`)
		if err != nil {
			return err
		}
		rows, err := tx.Query(ctx, `explain (analyze, costs off, timing off, summary off) select * from learner`)
		if err != nil {
			return err
		}
		plan, err = pgx.CollectRows(rows, pgx.RowTo[string])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(plan, "\n")
	if !regexp.MustCompile(`(Seq|Index|Bitmap Heap) Scan .*rows=2400(\.00)? loops=1`).MatchString(text) {
		t.Errorf("the list did not find its 2,400 rows:\n%s", text)
	}
	initPlans := 0
	for i, line := range plan {
		if strings.Contains(line, "Filter:") && (strings.Contains(line, "newel_") || strings.Contains(line, "current_setting")) {
			t.Errorf("reads the scope for each row: %s", line)
		}
		if strings.Contains(line, "InitPlan") {
			initPlans++
			if !strings.Contains(plan[i+1], "loops=1") && !strings.Contains(plan[i+1], "never executed") {
				t.Errorf("runs more than once: %s", plan[i+1])
			}
		}
	}
	if initPlans == 0 {
		t.Errorf("no InitPlan:\n%s", text)
	}
}

func TestRoles(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	for _, role := range []string{"newel_app", "newel_owner"} {
		var able bool
		if err := db.QueryRow(t.Context(), `select rolsuper or rolbypassrls or rolcreaterole or rolcreatedb or rolreplication
			from pg_roles where rolname = $1`, role).Scan(&able); err != nil {
			t.Fatal(err)
		}
		if able {
			t.Errorf("%s may do more than a plain role", role)
		}
		if of := column[string](t, db, `select r.rolname::text from pg_auth_members m join pg_roles r on r.oid = m.roleid
			where m.member = $1::regrole`, role); len(of) > 0 {
			t.Errorf("%s is a member of %v", role, of)
		}
	}
	if owned := column[string](t, db, `select relname::text from pg_class where relowner = 'newel_app'::regrole
		union all select proname::text from pg_proc where proowner = 'newel_app'::regrole
		union all select nspname::text from pg_namespace where nspowner = 'newel_app'::regrole`); len(owned) > 0 {
		t.Errorf("newel_app owns %v", owned)
	}
	if others := column[string](t, db, `select relname::text from pg_class
		where relnamespace = 'public'::regnamespace and relkind in ('r','p','v','m','S') and relowner <> 'newel_owner'::regrole`); len(others) > 0 {
		t.Errorf("newel_owner does not own %v", others)
	}
}

// TestNoBackDoors checks that nothing runs with its owner's rights, which would
// bypass the policies.
func TestNoBackDoors(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	if f := column[string](t, db, `select proname::text from pg_proc where pronamespace = 'public'::regnamespace and prosecdef`); len(f) > 0 {
		t.Errorf("functions with their definer's rights: %v", f)
	}
	if v := column[string](t, db, `select relname::text from pg_class
		where relnamespace = 'public'::regnamespace and (relkind = 'm' or relkind = 'v' and not coalesce(reloptions::text[] @> '{security_invoker=true}', false))`); len(v) > 0 {
		t.Errorf("views with their owner's rights: %v", v)
	}
}

func TestApplicationRights(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	may := func(table, right string) bool {
		var ok bool
		err := db.QueryRow(context.Background(), fmt.Sprintf(
			`select has_table_privilege('newel_app', '%s', '%s')`, table, right)).Scan(&ok)
		if err != nil {
			t.Fatal(err)
		}
		return ok
	}
	mayColumn := func(table string) bool {
		var ok bool
		if err := db.QueryRow(context.Background(), `select has_any_column_privilege('newel_app', $1, 'UPDATE')`, table).Scan(&ok); err != nil {
			t.Fatal(err)
		}
		return ok
	}
	for _, table := range tables(t, db) {
		if may(table, "TRUNCATE") || may(table, "TRIGGER") || may(table, "REFERENCES") {
			t.Errorf("newel_app may do more than read and write rows of %s", table)
		}
		if !may(table, "SELECT") {
			t.Errorf("newel_app cannot read %s", table)
		}
	}
	for _, table := range writtenOnce {
		if mayColumn(table) {
			t.Errorf("newel_app may change rows of %s", table)
		}
		if may(table, "DELETE") && !slices.Contains(mayForget, table) {
			t.Errorf("newel_app may delete rows of %s", table)
		}
	}
	if mayColumn("goose_db_version") || may("goose_db_version", "INSERT") {
		t.Error("newel_app may change goose_db_version")
	}
}
