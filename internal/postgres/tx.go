package postgres

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/newel"
)

// Tx is a transaction bound to one scope. Its methods are the store.
//
// Statements name the scope with macros, so that no method can get the
// condition subtly wrong:
//
//	$in(a)      the row of alias a belongs to the scope's clinic and families
//	$clinic(a)  the row of alias a belongs to the scope's clinic
//	$staff(a)   the same, and the scope is that of the clinic's own people
//
// Arguments are named (@id); the macros add their own.
type Tx struct {
	tx            pgx.Tx
	now           time.Time
	scope         newel.Scope
	unconditional bool
}

// Now returns the time of the transaction, which does not change.
func (tx *Tx) Now() time.Time { return tx.now }

// Scope returns the scope of the transaction.
func (tx *Tx) Scope() newel.Scope { return tx.scope }

// Enter binds the transaction to a scope, both here and in the database.
func (tx *Tx) Enter(ctx context.Context, scope newel.Scope) error {
	families := make([]string, len(scope.Families))
	for i, f := range scope.Families {
		families[i] = f.String()
	}
	standing, reach := "family", "families"
	if scope.Staff {
		standing = "staff"
	}
	if scope.WholeClinic {
		reach = "clinic"
	}
	_, err := tx.tx.Exec(ctx, `select set_config('newel.clinic', $1, true), set_config('newel.account', $2, true),
		set_config('newel.standing', $3, true), set_config('newel.reach', $4, true), set_config('newel.families', $5, true)`,
		scope.Clinic.String(), scope.Account.String(), standing, reach, strings.Join(families, ","))
	if err != nil {
		return fmt.Errorf("enter scope: %w", err)
	}
	tx.scope = scope
	return nil
}

// Savepoint runs fn so that its failure undoes only what fn did.
func (tx *Tx) Savepoint(ctx context.Context, fn func(*Tx) error) error {
	return pgx.BeginFunc(ctx, tx.tx, func(inner pgx.Tx) error {
		sub := *tx
		sub.tx = inner
		return fn(&sub)
	})
}

// args are the named arguments of a statement.
type args = pgx.NamedArgs

var macro = regexp.MustCompile(`\$(in|clinic|staff)\((\w+)\)`)

// expanded caches statements with their macros replaced.
var expanded sync.Map

func (tx *Tx) sql(statement string) string {
	if tx.unconditional {
		return macro.ReplaceAllString(statement, "true")
	}
	if s, ok := expanded.Load(statement); ok {
		return s.(string)
	}
	s := macro.ReplaceAllStringFunc(statement, func(m string) string {
		parts := macro.FindStringSubmatch(m)
		alias := parts[2]
		switch parts[1] {
		case "clinic":
			return alias + ".clinic_id = @scope_clinic"
		case "staff":
			return "(" + alias + ".clinic_id = @scope_clinic and @scope_staff::boolean)"
		}
		family := alias + ".family_id"
		if alias == "family" {
			family = "family.id"
		}
		return "(" + alias + ".clinic_id = @scope_clinic and (@scope_whole::boolean or " + family + " = any (@scope_families::uuid[])))"
	})
	expanded.Store(statement, s)
	return s
}

func (tx *Tx) with(a args) args {
	all := args{
		"scope_clinic":   tx.scope.Clinic,
		"scope_whole":    tx.scope.WholeClinic,
		"scope_staff":    tx.scope.Staff,
		"scope_families": tx.families(),
		"scope_account":  tx.account(),
		"now":            tx.now,
	}
	for k, v := range a {
		all[k] = v
	}
	return all
}

// account returns nil for the installation's own work, which has no account.
func (tx *Tx) account() any {
	if tx.scope.Account.IsZero() {
		return nil
	}
	return tx.scope.Account
}

func (tx *Tx) families() []string {
	ids := make([]string, len(tx.scope.Families))
	for i, f := range tx.scope.Families {
		ids[i] = f.String()
	}
	return ids
}

// one returns the single row of a statement as a T, matching columns to fields
// by name. It returns ErrNotFound if there is no row.
func one[T any](ctx context.Context, tx *Tx, statement string, a args) (T, error) {
	rows, err := tx.tx.Query(ctx, tx.sql(statement), tx.with(a))
	if err != nil {
		var zero T
		return zero, translate(err)
	}
	v, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByNameLax[T])
	return v, translate(err)
}

// many returns all rows of a statement, each as a T.
func many[T any](ctx context.Context, tx *Tx, statement string, a args) ([]T, error) {
	rows, err := tx.tx.Query(ctx, tx.sql(statement), tx.with(a))
	if err != nil {
		return nil, translate(err)
	}
	v, err := pgx.CollectRows(rows, pgx.RowToStructByNameLax[T])
	return v, translate(err)
}

// exec runs a statement that must affect at least one row. It returns
// ErrNotFound otherwise.
func (tx *Tx) exec(ctx context.Context, statement string, a args) error {
	tag, err := tx.tx.Exec(ctx, tx.sql(statement), tx.with(a))
	if err != nil {
		return translate(err)
	}
	if tag.RowsAffected() == 0 {
		return newel.ErrNotFound
	}
	return nil
}

// execAny runs a statement that may affect no row.
func (tx *Tx) execAny(ctx context.Context, statement string, a args) error {
	_, err := tx.tx.Exec(ctx, tx.sql(statement), tx.with(a))
	return translate(err)
}

// covers returns ErrNotFound unless the scope covers the family. It is the
// scope check of inserts, as $in is that of other statements.
func (tx *Tx) covers(f newel.FamilyID) error {
	if tx.unconditional || tx.scope.Covers(f) {
		return nil
	}
	return newel.ErrNotFound
}

// staff returns ErrNotFound unless the scope is that of staff. It is the scope
// check of inserts, as $staff is that of other statements.
func (tx *Tx) staff() error {
	if tx.unconditional || tx.scope.Staff {
		return nil
	}
	return newel.ErrNotFound
}

// wrap adds the failed method and the ids involved to the error, never names or
// notes. errors.Is still works on the result.
func wrap(err *error, format string, a ...any) {
	if *err != nil && !errors.Is(*err, context.Canceled) {
		*err = fmt.Errorf("%s: %w", fmt.Sprintf(format, a...), *err)
	}
}
