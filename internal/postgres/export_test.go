package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"

	"newel/internal/newel"
)

// Unconditional returns a handle whose statements do not name the scope, so
// that only row-level security applies.
func Unconditional(db *DB) *DB {
	d := *db
	d.unconditional = true
	return &d
}

// Wrote reports whether the transaction has written or locked any row. It
// returns an error after a failed statement, because the transaction can then
// only roll back.
func Wrote(ctx context.Context, tx *Tx) (wrote bool, err error) {
	err = tx.tx.QueryRow(ctx, `select pg_current_xact_id_if_assigned() is not null`).Scan(&wrote)
	return wrote, err
}

// Deed is one line of the audit trail: who did what to which thing. It never
// holds content.
type Deed struct {
	At        time.Time
	AccountID *newel.AccountID
	FamilyID  *newel.FamilyID
	Deed      string
	Subject   *uuid.UUID
}

// Deeds lists the newest audit entries about families in scope. Callers who
// reach the whole clinic also see entries that concern no family.
func (tx *Tx) Deeds(ctx context.Context, limit int) (_ []Deed, err error) {
	defer wrap(&err, "deeds")
	return many[Deed](ctx, tx, `select at, account_id, family_id, deed, subject from audit
		where $in(audit) order by at desc, id desc limit @limit`, args{"limit": limit})
}
