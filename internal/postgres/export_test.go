package postgres

import "context"

// Unconditional gives a handle whose statements do not name the scope, so
// that row-level security alone holds.
func Unconditional(db *DB) *DB {
	d := *db
	d.unconditional = true
	return &d
}

// Wrote reports whether the transaction has written or locked any row. After
// a failed statement it is an error: the transaction can only roll back.
func Wrote(ctx context.Context, tx *Tx) (wrote bool, err error) {
	err = tx.tx.QueryRow(ctx, `select pg_current_xact_id_if_assigned() is not null`).Scan(&wrote)
	return wrote, err
}
