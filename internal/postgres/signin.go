package postgres

import (
	"context"
	"fmt"
)

// UnscopedClearSignIns deletes the sign-ins that have expired. Their table belongs to
// the session library and has no clinic, so no scope applies; the library
// itself already treats an expired row as absent.
func (db *DB) UnscopedClearSignIns(ctx context.Context) error {
	if _, err := db.pool.Exec(ctx, `delete from sessions where expiry < $1`, db.now()); err != nil {
		return fmt.Errorf("clear sign-ins: %w", translate(err))
	}
	return nil
}
