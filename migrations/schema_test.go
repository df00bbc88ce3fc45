package migrations_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/pgtest"
	"newel/migrations"
)

// compareFile compares generated text with the file in the tree, or writes the
// file.
func compareFile(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: go test ./migrations -run Drift -update", err)
	}
	if diff := cmp.Diff(string(b), got); diff != "" {
		t.Errorf("%s is out of date (-file +schema): go test ./migrations -run Drift -update\n%s", filepath.Base(path), diff)
	}
}

// TestSchemaDrift keeps docs/schema.sql up to date: the schema after all
// migrations, read from the catalogue, so that no one has to replay the
// migrations in their head.
func TestSchemaDrift(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	var out bytes.Buffer
	fmt.Fprintf(&out, `-- The schema after migration %05d, written by go test ./migrations -run Drift -update.
-- It is for reading. The files in migrations/ make the databases.
`, migrations.Latest())
	out.WriteString("\n-- What the current transaction may see.\n")
	for _, f := range column[string](t, db, `select pg_get_functiondef(oid) from pg_proc where pronamespace = 'public'::regnamespace order by proname`) {
		fmt.Fprintf(&out, "%s;\n", strings.TrimSpace(f))
	}
	for _, g := range nouns(t, db) {
		for _, table := range g.tables {
			out.WriteString(tableSQL(t, db, table))
		}
	}
	compareFile(t, filepath.Join("..", "docs", "schema.sql"), out.String())
}

// noun is a group of tables that one migration file created.
type noun struct {
	name   string
	tables []string
}

var creation = regexp.MustCompile(`(?m)((?:^-- .*\n)*)^create table (\w+)`)

// nouns groups the tables by the file that created them, in order of creation.
func nouns(t *testing.T, db *pgxpool.Pool) []noun {
	t.Helper()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	var groups []noun
	found := 0
	for _, name := range names {
		g := noun{name: strings.TrimSuffix(name[6:], ".sql")}
		for _, m := range creation.FindAllStringSubmatch(read(t, name), -1) {
			g.tables = append(g.tables, m[2])
		}
		if found += len(g.tables); len(g.tables) > 0 {
			groups = append(groups, g)
		}
	}
	if want := len(tables(t, db)) - 1; found != want { // all except the library's version table
		t.Fatalf("found %d tables in the files and %d in the database", found, want)
	}
	return groups
}

// purpose returns the comment above the table in its migration.
func purpose(t *testing.T, table string) string {
	t.Helper()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		for _, m := range creation.FindAllStringSubmatch(read(t, name), -1) {
			if m[2] == table {
				return strings.Join(strings.Fields(strings.NewReplacer("-- +goose Up\n", "", "-- ", "").Replace(m[1])), " ")
			}
		}
	}
	return ""
}

func tableSQL(t *testing.T, db *pgxpool.Pool, table string) string {
	t.Helper()
	var out strings.Builder
	out.WriteString("\n")
	if p := purpose(t, table); p != "" {
		fmt.Fprintf(&out, "-- %s\n", p)
	}
	lines := append(column[string](t, db, `select format('%I %s', a.attname, format_type(a.atttypid, a.atttypmod))
			|| case when a.attnotnull then ' not null' else '' end
			|| coalesce(' default ' || pg_get_expr(d.adbin, d.adrelid), '')
		from pg_attribute a left join pg_attrdef d on d.adrelid = a.attrelid and d.adnum = a.attnum
		where a.attrelid = $1::regclass and a.attnum > 0 and not a.attisdropped order by a.attnum`, table),
		column[string](t, db, `select pg_get_constraintdef(oid) from pg_constraint
		where conrelid = $1::regclass and contype in ('p', 'u', 'c', 'f') order by strpos('pucf', contype::text), conname`, table)...)
	fmt.Fprintf(&out, "CREATE TABLE %s (\n    %s\n);\n", table, strings.Join(lines, ",\n    "))
	rest := column[string](t, db, `select pg_get_indexdef(indexrelid) from pg_index i where indrelid = $1::regclass
			and not exists (select from pg_constraint where conindid = i.indexrelid and contype in ('p', 'u')) order by indexrelid::regclass::text`, table)
	rest = append(rest, column[string](t, db, `select case when relrowsecurity then format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY%s', relname,
			case when relforcerowsecurity then ', FORCE ROW LEVEL SECURITY' else '' end) end from pg_class where oid = $1::regclass and relrowsecurity`, table)...)
	rest = append(rest, column[string](t, db, `select format('CREATE POLICY %I ON %I FOR %s', policyname, tablename, cmd)
			|| coalesce(E'\n    USING ' || regexp_replace(qual, '\s+', ' ', 'g'), '') || coalesce(E'\n    WITH CHECK ' || regexp_replace(with_check, '\s+', ' ', 'g'), '')
		from pg_policies where schemaname = 'public' and tablename = $1 order by policyname`, table)...)
	rest = append(rest, column[string](t, db, `select format('GRANT %s ON %I TO newel_app', string_agg(privilege_type, ', ' order by privilege_type), table_name)
		from information_schema.role_table_grants where grantee = 'newel_app' and table_schema = 'public' and table_name = $1 group by table_name`, table)...)
	rest = append(rest, column[string](t, db, `select format('GRANT %s (%s) ON %I TO newel_app', x.privilege_type, string_agg(a.attname, ', ' order by a.attnum), $1::text)
		from pg_attribute a, aclexplode(a.attacl) x where a.attrelid = $1::text::regclass and x.grantee = 'newel_app'::regrole group by x.privilege_type`, table)...)
	for _, line := range rest {
		fmt.Fprintf(&out, "%s;\n", subSelect.ReplaceAllString(line, "(SELECT $1())"))
	}
	return out.String()
}

// TestEntitiesDrift keeps docs/entities.md up to date: a diagram of each group
// of tables, in a notation that code hosts render.
func TestEntitiesDrift(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t).Bypass
	refs := references(t, db)
	var out strings.Builder
	out.WriteString(`# Entities

` + "`go test ./migrations -run Drift -update`" + ` writes this page from the database after all migrations. Every key starts with the
clinic, and every reference inside a family carries the family. The diagrams leave that out. [schema.sql](schema.sql) has
every column.
`)
	for _, g := range nouns(t, db) {
		fmt.Fprintf(&out, "\n## %s\n\n", strings.ToUpper(g.name[:1])+g.name[1:])
		for _, table := range g.tables {
			if p := purpose(t, table); p != "" {
				fmt.Fprintf(&out, "- **%s**: %s\n", table, p)
			}
		}
		out.WriteString("\n```mermaid\nerDiagram\n")
		for _, table := range g.tables {
			out.WriteString(entity(t, db, table))
		}
		for _, r := range refs {
			if slices.Contains(g.tables, r.From) && r.To != "clinic" {
				fmt.Fprintf(&out, "    %s %s--%s %s : \"%s\"\n", r.To, oneSide(t, db, r), manySide(t, db, r), r.From, r.Columns[len(r.Columns)-1])
			}
		}
		out.WriteString("```\n")
	}
	compareFile(t, filepath.Join("..", "docs", "entities.md"), out.String())
}

func entity(t *testing.T, db *pgxpool.Pool, table string) string {
	t.Helper()
	rows, err := db.Query(t.Context(), `select a.attname::text as name, split_part(format_type(a.atttypid, -1), ' ', 1) as type,
			exists (select from pg_constraint c where c.conrelid = a.attrelid and c.contype = 'p' and a.attnum = any (c.conkey)) as key,
			exists (select from pg_constraint c where c.conrelid = a.attrelid and c.contype = 'f' and a.attnum = any (c.conkey)) as reference
		from pg_attribute a where a.attrelid = $1::regclass and a.attnum > 0 and not a.attisdropped order by a.attnum`, table)
	if err != nil {
		t.Fatal(err)
	}
	columns, err := pgx.CollectRows(rows, pgx.RowToStructByName[struct {
		Name, Type     string
		Key, Reference bool
	}])
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	fmt.Fprintf(&out, "    %s {\n", table)
	for _, c := range columns {
		var marks []string
		if c.Key {
			marks = append(marks, "PK")
		}
		if c.Reference {
			marks = append(marks, "FK")
		}
		line := strings.TrimRight(fmt.Sprintf("%s %s %s", strings.ReplaceAll(c.Type, "[]", "_list"), c.Name, strings.Join(marks, ", ")), " ")
		fmt.Fprintf(&out, "        %s\n", line)
	}
	out.WriteString("    }\n")
	return out.String()
}

// oneSide returns whether a row must reference another: || exactly one, |o zero
// or one.
func oneSide(t *testing.T, db *pgxpool.Pool, r reference) string {
	t.Helper()
	var needed bool
	err := db.QueryRow(t.Context(), `select bool_and(attnotnull) from pg_attribute where attrelid = $1::regclass and attname = any ($2)`, r.From, r.Columns).Scan(&needed)
	if err != nil {
		t.Fatal(err)
	}
	if needed {
		return "||"
	}
	return "|o"
}

// manySide returns how many rows may reference the same one: o{ any number, o|
// at most one.
func manySide(t *testing.T, db *pgxpool.Pool, r reference) string {
	t.Helper()
	for _, kind := range []string{"p", "u"} {
		for _, key := range keyColumns(t, db, r.From, kind) {
			if subset(key, r.Columns) {
				return "o|"
			}
		}
	}
	return "o{"
}

func subset(small, large []string) bool {
	for _, s := range small {
		if !slices.Contains(large, s) {
			return false
		}
	}
	return true
}
