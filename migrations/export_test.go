package migrations

import (
	"context"
)

// UpTo migrates the database up to the given version.
func UpTo(ctx context.Context, ownerURL string, version int64) error {
	provider, closeDB, err := open(ownerURL)
	if err != nil {
		return err
	}
	defer closeDB()
	_, err = provider.UpTo(ctx, version)
	return err
}
