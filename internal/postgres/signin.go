package postgres

import (
	"context"
	"fmt"
)

// UnscopedClearSignIns deletes expired sign-ins. The table belongs to the
// session library and has no clinic, so no scope applies. The library itself
// already ignores expired rows.
func (db *DB) UnscopedClearSignIns(ctx context.Context) error {
	if _, err := db.pool.Exec(ctx, `delete from sessions where expiry < $1`, db.now()); err != nil {
		return fmt.Errorf("clear sign-ins: %w", translate(err))
	}
	return nil
}
