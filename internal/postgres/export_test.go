package postgres

import "context"

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
