package migrations

import (
	"context"
)

// UpTo brings the database up to one migration and no further.
func UpTo(ctx context.Context, ownerURL string, version int64) error {
	provider, closeDB, err := open(ownerURL)
	if err != nil {
		return err
	}
	defer closeDB()
	_, err = provider.UpTo(ctx, version)
	return err
}
