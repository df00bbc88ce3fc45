package postgres

import (
	"context"

	"github.com/google/uuid"

	"newel/internal/newel"
)

// Note writes an audit entry in the transaction of the deed itself. family may
// be zero; otherwise the scope must cover it.
func (tx *Tx) Note(ctx context.Context, entry string, family newel.FamilyID, subject uuid.UUID) (err error) {
	defer wrap(&err, "note %s", entry)
	if !family.IsZero() {
		if err := tx.covers(family); err != nil {
			return err
		}
	}
	return tx.exec(ctx, `insert into audit (clinic_id, id, at, account_id, family_id, deed, subject)
		values (@scope_clinic, @id, @now, nullif(@scope_account::uuid, @none), nullif(@family::uuid, @none), @deed, nullif(@subject::uuid, @none))`,
		args{"id": uuid.Must(uuid.NewV7()), "family": family, "deed": entry, "subject": subject, "none": uuid.Nil})
}
