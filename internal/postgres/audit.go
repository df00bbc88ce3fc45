package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"

	"newel/internal/newel"
)

// Deed is one line of the audit trail: who did what to which thing. It never
// holds content.
type Deed struct {
	At        time.Time
	AccountID *newel.AccountID
	FamilyID  *newel.FamilyID
	Deed      string
	Subject   *uuid.UUID
}

// Note writes a line of the audit trail in the transaction of the deed.
// family may be zero; else the scope covers it.
func (tx *Tx) Note(ctx context.Context, deed string, family newel.FamilyID, subject uuid.UUID) (err error) {
	defer wrap(&err, "note %s", deed)
	if !family.IsZero() {
		if err := tx.covers(family); err != nil {
			return err
		}
	}
	return tx.exec(ctx, `insert into audit (clinic_id, id, at, account_id, family_id, deed, subject)
		values (@scope_clinic, @id, @now, nullif(@scope_account::uuid, @none), nullif(@family::uuid, @none), @deed, nullif(@subject::uuid, @none))`,
		args{"id": uuid.Must(uuid.NewV7()), "family": family, "deed": deed, "subject": subject, "none": uuid.Nil})
}

// Deeds lists the newest lines of the audit trail: those about families in
// scope, and for whoever reaches the whole clinic also those about none.
func (tx *Tx) Deeds(ctx context.Context, limit int) (_ []Deed, err error) {
	defer wrap(&err, "deeds")
	return many[Deed](ctx, tx, `select at, account_id, family_id, deed, subject from audit
		where $in(audit) order by at desc, id desc limit @limit`, args{"limit": limit})
}
